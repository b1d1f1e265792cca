"""Each rule of climate, neighbours, cabinets, prepreg and doubt: what trips it and what does not."""

import datetime
from decimal import Decimal

import pytest

from shopstock import ledger
from shopstock.calc.climate import Reading
from shopstock.climate.actions import store_reading
from shopstock.models import Container, OutSpell, Place, PlaceRule, Roll, Shop
from shopstock.watch import watch_list
from tests.factories import NOON, TODAY, make_chemical, make_container, make_place, make_reinforcement, make_roll

HOUR = datetime.timedelta(hours=1)


@pytest.fixture(autouse=True)
def nothing_planned(planned):
    return planned


def found(kind: str) -> list:
    return [item for item in watch_list(TODAY, NOON) if item.kind == kind]


def read(place, temperature_c, humidity=None, hours_ago=1.0):
    store_reading(place, Reading(NOON - hours_ago * HOUR, temperature_c, humidity), source="hand", sure=True)


@pytest.mark.parametrize(("temperature_c", "humidity", "trips"), [(35, 75, 0), (35.5, 60, 1), (9, 60, 1), (20, 76, 1)])
def test_fabric_outside_its_climate_is_warned_of(clerk, temperature_c, humidity, trips):
    rack = make_place()
    make_roll(by=clerk, place=rack, length_mm=40_000)
    read(rack, temperature_c, humidity)
    items = found("climate")
    assert [item.length_mm for item in items] == [40_000] * trips


def test_own_sheet_of_a_product_goes_before_the_usual_band(clerk):
    rack = make_place()
    make_container(by=clerk, place=rack, chemical=make_chemical(store_max_c=Decimal(30)))
    read(rack, 28)
    assert found("climate") == []


def test_peroxide_too_warm_is_urgent_and_says_since_when(clerk):
    cabinet = make_place("Catalyst cabinet")
    make_container(by=clerk, place=cabinet, chemical=make_chemical(kind="peroxide"))
    for hours, temperature_c in ((60, 24), (30, 26), (1, 27)):
        read(cabinet, temperature_c, hours_ago=hours)
    (item,) = found("climate")
    assert (item.is_urgent, item.since) == (True, TODAY - datetime.timedelta(days=1))
    assert item.cause.startswith("27 °C is above 25 °C")


def test_last_reading_counts_and_not_one_that_was_put_right(clerk):
    rack = make_place()
    make_roll(by=clerk, place=rack)
    read(rack, 40, hours_ago=5)
    read(rack, 20)
    assert found("climate") == []


def test_shop_below_its_laminating_minimum_is_warned_of():
    workshop = make_place("Shop floor", is_workshop=True)
    read(workshop, 14.9, 60)
    assert found("climate")[0].to_do == "Bring the shop to temperature before anything is mixed."
    Shop.objects.update_or_create(pk=1, defaults={"laminating_min_c": 14})
    assert found("climate") == []


def test_readings_that_stopped_are_told_after_a_day_and_a_half(clerk):
    rack = make_place()
    read(rack, 20, hours_ago=35)
    assert found("climate") == []
    other = make_place("Rack B")
    read(other, 20, hours_ago=37)
    assert [item.what for item in found("climate")] == ["Rack B: no reading any more"]


def stand(clerk, place, **fields):
    """Put a container somewhere without asking the ledger's own guard, as it was before the rule came."""
    made = make_container(by=clerk, chemical=make_chemical(**fields))
    Container.objects.filter(pk=made.pk).update(place=place)
    return made


@pytest.mark.parametrize(
    ("other", "trips"),
    [
        ({"kind": "promoter"}, True),
        ({"kind": "hardener"}, True),
        ({"kind": "solvent", "acts_as": "acetone"}, True),
        ({"kind": "polyester"}, True),
        ({"kind": "polyester", "flammable_category": 0}, False),
        ({"kind": "epoxy"}, False),
        ({"kind": "epoxy", "acts_as": "acid"}, True),
        ({"kind": "peroxide"}, False),
    ],
)
def test_neighbour_of_peroxide_is_warned_of_when_a_rule_parts_them(clerk, other, trips):
    cabinet = make_place("Cabinet")
    stand(clerk, cabinet, kind="peroxide")
    stand(clerk, cabinet, **other)
    assert bool(found("neighbour")) is trips
    assert all(item.is_urgent for item in found("neighbour"))


def test_things_in_two_places_are_no_neighbours(clerk):
    stand(clerk, make_place("One"), kind="peroxide")
    stand(clerk, make_place("Two"), kind="promoter")
    assert found("neighbour") == []


@pytest.mark.parametrize(
    ("place", "roll", "words"),
    [
        ({"kind": "floor"}, {}, "Fabric on the floor"),
        ({"under_drums": True}, {}, "Fabric under drums or cans"),
        ({"near_sanding": True}, {}, "Fabric beside sanding or grinding"),
        ({}, {"lying": "on_end"}, "Fabric standing on end"),
        ({"in_daylight": True}, {"fibre": "aramid"}, "Aramid in daylight"),
        ({"in_daylight": True}, {}, None),
        ({}, {}, None),
    ],
)
def test_roll_where_it_must_not_lie_is_warned_of(clerk, place, roll, words):
    cloth = make_reinforcement(**({"fibre": roll["fibre"]} if "fibre" in roll else {}))
    made = make_roll(by=clerk, reinforcement=cloth, lying=roll.get("lying", Roll.Lying.CORE))
    Roll.objects.filter(pk=made.pk).update(place=make_place("Somewhere", **place))  # as it was before the rule came
    assert [item.cause.startswith(words) for item in found("neighbour")] == ([True] if words else [])


@pytest.mark.parametrize(
    ("place", "vessel", "words"),
    [
        ({}, "steel", "Organic peroxide in a steel container"),
        ({"on_wood": True}, "", "Organic peroxide on wood"),
        ({}, "plastic", None),
    ],
)
def test_peroxide_in_steel_or_on_wood_is_warned_of(clerk, place, vessel, words):
    can = stand(clerk, make_place("Cabinet", **place), kind="peroxide")
    Container.objects.filter(pk=can.pk).update(vessel=vessel)
    assert [item.cause.startswith(words) for item in found("neighbour")] == ([True] if words else [])


def test_place_kept_for_one_thing_warns_of_another(clerk):
    stand(clerk, make_place("Catalyst cabinet", may_keep="peroxide"), kind="epoxy")
    assert found("neighbour")[0].cause == "Catalyst cabinet is kept for: organic peroxide."


def test_rule_of_the_shops_own_is_kept_too(clerk, owner):
    rack = make_place()
    make_roll(by=clerk, place=rack)
    stand(clerk, rack, kind="epoxy")
    assert found("neighbour") == []
    PlaceRule.objects.create(
        subject="fabric", beside="resin", severity="warn", reason="drips", made_by=owner, made_at=NOON
    )
    assert [item.cause.startswith("Fabric beside resin: drips") for item in found("neighbour")] == [True]


def test_move_to_a_forbidden_neighbour_is_refused_with_the_neighbour_named(clerk):
    cabinet = make_place("Cabinet")
    promoter = make_container(by=clerk, chemical=make_chemical("Cobalt", kind="promoter"), place=cabinet)
    can = make_container(by=clerk, chemical=make_chemical(kind="peroxide"), place=make_place("Other"))
    with pytest.raises(ledger.MayNotStandThere, match=f"explode .Cobalt {promoter.code} stands there"):
        ledger.move_container(container=can, place=cabinet, by=clerk, at=NOON, key="m1")
    can.refresh_from_db()
    assert can.place.name == "Other"


def test_aramid_is_not_moved_into_daylight(clerk):
    roll = make_roll(by=clerk, reinforcement=make_reinforcement(fibre="aramid"), place=make_place())
    with pytest.raises(ledger.MayNotStandThere, match="ultraviolet"):
        ledger.move_roll(roll=roll, place=make_place("Window", in_daylight=True), by=clerk, at=NOON, key="m1")


@pytest.mark.parametrize(
    ("litres", "category", "limit", "trips"),
    [
        (227, 3, None, False),
        (228, 3, None, True),
        (228, 0, None, False),
        (454, 4, None, False),
        (455, 4, None, True),
        (101, 2, Decimal(100), True),
        (99, 2, Decimal(100), False),
    ],
)
def test_cabinet_over_its_limit_is_warned_of(clerk, litres, category, limit, trips):
    cabinet = make_place("Flammables", kind=Place.Kind.CABINET, flammable_limit_l=limit)
    solvent = make_chemical(kind="solvent", density_liquid=1, flammable_category=category)
    make_container(by=clerk, chemical=solvent, mass_g=litres * 1000, place=cabinet)
    assert bool(found("cabinet")) is trips


@pytest.fixture
def prepreg(clerk):
    cloth = make_reinforcement(fibre="carbon", out_life_h=500, thaw_h=24)
    return make_roll(by=clerk, reinforcement=cloth, place=make_place("Freezer", kind="freezer"))


def spells(roll, clerk, *hours, still_out=None):
    start = NOON - datetime.timedelta(days=100)
    for number, length in enumerate(hours):
        out = start + datetime.timedelta(days=25 * number)
        OutSpell.objects.create(roll=roll, out_at=out, back_at=out + length * HOUR, out_by=clerk)
    if still_out is not None:
        OutSpell.objects.create(roll=roll, out_at=NOON - still_out * HOUR, out_by=clerk)


def test_prepreg_with_time_left_is_not_warned_of(prepreg, clerk):
    spells(prepreg, clerk, 120, 60, 35, still_out=4)
    assert found("prepreg") == []


@pytest.mark.parametrize(
    ("hours", "still_out", "words"),
    [
        ((390,), 15, "405 h out of the freezer, 95 h left; it lies out now."),
        ((420,), None, "420 h out of the freezer, 80 h left."),
        ((480,), 30, "510 h out of the freezer, 0 h left; it lies out now."),
    ],
)
def test_prepreg_near_the_end_of_its_time_out_is_warned_of(prepreg, clerk, hours, still_out, words):
    spells(prepreg, clerk, *hours, still_out=still_out)
    assert [item.cause for item in found("prepreg")] == [words]


def test_prepreg_past_its_label_is_urgent(prepreg):
    Roll.objects.update(use_by=TODAY - datetime.timedelta(days=1))
    assert [item.is_urgent for item in found("prepreg")] == [True]
    Roll.objects.update(use_by=TODAY)
    assert found("prepreg") == []


@pytest.mark.parametrize(("uncertainty_mm", "trips"), [(760, False), (770, True)])
def test_length_in_doubt_by_more_than_the_shops_figure_is_warned_of(clerk, uncertainty_mm, trips):
    roll = make_roll(by=clerk)
    Roll.objects.filter(pk=roll.pk).update(uncertainty_mm=uncertainty_mm)
    assert bool(found("doubt")) is trips


def test_pair_stands_wrong_since_the_later_of_the_two_came(clerk):
    cabinet = make_place("Cabinet")
    early, late = (TODAY - datetime.timedelta(days=days) for days in (9, 4))
    for day, kind in ((early, "peroxide"), (late, "hardener")):
        at = datetime.datetime.combine(day, NOON.timetz())
        can = make_container(by=clerk, chemical=make_chemical(kind=kind), at=at)
        Container.objects.filter(pk=can.pk).update(place=cabinet)
    assert [item.since for item in found("neighbour")] == [late]


def test_cabinet_is_over_its_limit_since_the_last_container_came(clerk):
    cabinet = make_place("Flammables", kind=Place.Kind.CABINET)
    solvent = make_chemical(kind="solvent", density_liquid=1, pack_g=10_000, price_per_pack=Decimal(20))
    for days in (9, 4):
        at = NOON - datetime.timedelta(days=days)
        make_container(by=clerk, chemical=solvent, mass_g=120_000, place=cabinet, at=at)
    (item,) = found("cabinet")
    assert (item.since, item.mass_g, item.money) == (TODAY - datetime.timedelta(days=4), 240_000, Decimal("480.00"))


def test_prepreg_that_lies_out_asks_no_frost_of_the_shop(prepreg, clerk):
    shop, freezer = make_place("Shop floor"), prepreg.place
    read(shop, 20, 50)
    ledger.move_roll(roll=prepreg, place=shop, by=clerk, at=NOON, key="out")
    assert found("climate") == []
    ledger.move_roll(roll=prepreg, place=freezer, by=clerk, at=NOON, key="back")
    read(freezer, -15)
    assert [item.cause[:20] for item in found("climate")] == ["-15 °C is above -18 "]


@pytest.mark.parametrize(
    ("days", "cause"),
    [
        (-1, "Its label ended on 2026-03-01."),
        (0, "Its label ends on 2026-03-02."),
        (30, "Its label ends on 2026-04-01."),
        (31, None),
        (None, None),
    ],
)
def test_cloth_near_the_date_on_its_label_is_warned_of(clerk, days, cause):
    roll = make_roll(by=clerk, length_mm=10_000)
    use_by = None if days is None else TODAY + datetime.timedelta(days=days)
    Roll.objects.update(use_by=use_by)
    ledger.set_aside(promises=[ledger.Promise(roll, 1_000, "Hull 7")], by=clerk, at=NOON)
    items = found("roll_date")
    assert [(item.cause, item.is_urgent) for item in items] == ([(cause, days < 0)] if cause else [])
    # 10 m of a roll of 50 m at 120.00
    assert all((item.length_mm, item.money, item.jobs) == (10_000, Decimal("24.00"), ("Hull 7",)) for item in items)
