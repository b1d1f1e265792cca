"""What the scan page of a roll warns of: rest of glass, its place, its climate."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock.calc.climate import Reading
from shopstock.climate.actions import store_reading
from shopstock.storage_notes import storage_notes
from tests.factories import NOON, make_place, make_reinforcement, make_roll

HOUR = datetime.timedelta(hours=1)
EARLIER = NOON - 72 * HOUR


@pytest.fixture
def workshop(db):
    return make_place("Shop floor", is_workshop=True)


@pytest.fixture
def rack(db):
    return make_place()


def readings(place, temperature_c, humidity):
    for hours in (40, 20, 1):
        store_reading(place, Reading(NOON - hours * HOUR, temperature_c, humidity), source="hand", sure=True)


def warnings(roll) -> tuple[str, ...]:
    return storage_notes(roll, NOON).warnings


def test_glass_two_degrees_warmer_and_drier_for_two_days_has_rested(clerk, workshop, rack):
    roll = make_roll(by=clerk, place=rack, at=EARLIER)
    readings(rack, 20, 55)
    readings(workshop, 18, 65)
    assert warnings(roll) == ()


def test_glass_hardly_warmer_than_the_shop_has_not_rested(clerk, workshop, rack):
    roll = make_roll(by=clerk, place=rack, at=EARLIER)
    readings(rack, 19, 55)
    readings(workshop, 18, 65)
    assert [words[:31] for words in warnings(roll)] == ["This glass has not rested: its "]


def test_glass_that_came_yesterday_has_not_rested(clerk, workshop, rack):
    roll = make_roll(by=clerk, place=rack, at=NOON - 24 * HOUR)
    readings(rack, 22, 50)
    readings(workshop, 18, 65)
    assert "it came here 24 h ago" in warnings(roll)[0]


def test_glass_without_readings_is_not_known_to_have_rested(clerk, workshop, rack):
    assert "not known" in warnings(make_roll(by=clerk, place=rack, at=EARLIER))[0]


def test_carbon_and_a_shop_without_a_named_workshop_are_not_judged(clerk, rack):
    assert warnings(make_roll(by=clerk, place=rack)) == ()
    make_place("Shop floor", is_workshop=True)
    assert warnings(make_roll(by=clerk, place=rack, reinforcement=make_reinforcement(fibre="carbon"))) == ()


def test_place_and_climate_of_the_roll_are_told_on_its_scan_page(client, laminator, clerk):
    floor = make_place("By the door", kind="floor")
    roll = make_roll(by=clerk, place=floor)
    readings(floor, 20, 80)
    client.force_login(laminator)
    page = client.get(reverse("scan-roll", args=[roll.code])).content.decode()
    assert "Fabric on the floor: it takes up damp and dirt" in page
    assert "Its place: 80 % is above 75 % humidity." in page


def test_roll_well_kept_has_no_warning_on_its_scan_page(client, laminator, clerk, rack):
    roll = make_roll(by=clerk, place=rack)
    client.force_login(laminator)
    assert client.get(reverse("scan-roll", args=[roll.code])).context["storage"].warnings == ()


def test_hundreds_of_rolls_on_the_same_rack_are_not_read_for_one(clerk, rack):
    roll = make_roll(by=clerk, place=rack, at=EARLIER)
    with CaptureQueriesContext(connection) as asked:
        storage_notes(roll, NOON)
    assert [query["sql"] for query in asked if 'FROM "shopstock_roll"' in query["sql"]] == []
