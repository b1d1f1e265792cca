"""What the outlook of a fabric counts, and when it says that it fails."""

from decimal import Decimal

import pytest

from shopstock import ledger
from shopstock.calc.outlook import COMES, MAY_COME, SHORT, TAKEN
from shopstock.demand import ClothUse
from shopstock.ledger.faults import FoundFault
from shopstock.models import OrderLine, Shop
from shopstock.ordering import actions
from shopstock.outlooks import cloth_outlook
from tests.factories import (
    NOON,
    TODAY,
    make_reinforcement,
    make_roll,
    make_supplier,
    make_sure,
    new_key,
)
from tests.shopstock.demand_source import day


@pytest.fixture
def roving(planned):
    return make_reinforcement("woven roving 600", supplier=make_supplier(lead_time_days=14))


@pytest.fixture
def roll(roving, clerk):
    return make_sure(make_roll(by=clerk, reinforcement=roving, length_mm=20_000))


def found(roving):
    return cloth_outlook(roving, TODAY)


def points(roving):
    return [(point.on, point.left, point.short) for point in found(roving).found.points]


def ordered(roving, by, *, packs=1, on, length_mm=50_000):
    order = actions.new_order(supplier=roving.supplier, expected_on=on, by=by, at=NOON, key=new_key())
    OrderLine.objects.create(
        order=order, reinforcement=roving, width_mm=1250, length_mm=length_mm, packs=packs,
        price=Decimal(120), reason="Hull",
    )  # fmt: skip
    return actions.approve(order=order, by=by, at=NOON)


def test_only_the_length_that_is_there_for_sure_is_counted_and_the_band_reaches_to_what_is_booked(roving, clerk):
    roll = make_roll(by=clerk, reinforcement=roving, length_mm=20_000)
    (now, _) = found(roving).found.points
    assert roll.safe_length_mm < 20_000
    assert (now.left, now.low, now.high) == (roll.safe_length_mm, roll.safe_length_mm, 20_000)


@pytest.mark.parametrize(("days", "left_mm"), [(-1, 0), (0, 20_000)])
def test_cloth_past_its_date_is_not_counted(roving, roll, days, left_mm):
    type(roll).objects.update(use_by=day(days))
    assert found(roving).found.points[0].left == left_mm


def test_what_may_not_be_used_is_not_counted(roving, roll, clerk):
    ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON, key=new_key())
    assert points(roving)[0] == (TODAY, 0, 0)


@pytest.mark.parametrize(("along_mm", "sure"), [(3_000, 19_900), (3_001, 16_900), (16_901, 0)])
def test_stretch_between_faults_counts_when_a_planned_piece_fits_into_it(planned, roving, roll, clerk, along_mm, sure):
    crease = FoundFault(16_900, 17_000, "crease")
    ledger.report_fault(roll=roll, fault=crease, by=clerk, at=NOON, key=new_key())
    make_sure(roll)
    planned.shortest_mm = {roving.pk: along_mm}
    seen = found(roving)
    assert (seen.sure, seen.booked, seen.too_small) == (sure, sure, 19_900 - sure)


def test_offcut_narrower_than_any_planned_piece_is_not_counted(planned, roving, roll, clerk):
    ledger.record_cut(roll=roll, length_mm=5_000, by=clerk, at=NOON, key=new_key())
    ledger.record_offcut(parent=roll, width_mm=400, length_mm=5_000, by=clerk, at=NOON, key=new_key())
    for item in roving.rolls.all():
        make_sure(item)
    planned.shortest_mm, planned.narrowest_mm = {roving.pk: 1_000}, {roving.pk: 400}
    assert (found(roving).sure, found(roving).too_small) == (20_000, 0)
    planned.narrowest_mm = {roving.pk: 401}
    assert (found(roving).sure, found(roving).too_small) == (15_000, 5_000)


def test_trimmed_edges_of_a_roll_hold_no_piece(planned, roving, roll):
    Shop.objects.update_or_create(pk=1, defaults={"edge_trim_mm": 20})
    planned.shortest_mm, planned.narrowest_mm = {roving.pk: 1_000}, {roving.pk: 1_211}
    assert found(roving).sure == 0


def test_end_behind_a_promise_counts_only_when_a_piece_fits_and_the_promise_always_does(planned, roving, roll, clerk):
    ledger.set_aside(promises=[ledger.Promise(roll, 18_000, "Hull 7")], by=clerk, at=NOON)
    make_sure(roll)
    planned.shortest_mm = {roving.pk: 2_001}
    planned.uses = [ClothUse(roving.pk, day(5), "Hull 7", 1, here_mm=18_000, set_aside=True)]
    assert points(roving)[:2] == [(TODAY, 18_000, 0), (day(5), 0, 0)]
    assert found(roving).too_small == 2_000


def test_jobs_take_on_their_day_and_an_approved_order_comes_on_its_own(planned, roving, roll, owner):
    order = ordered(roving, owner, packs=2, on=day(10))
    planned.uses = [
        ClothUse(roving.pk, day(3), "Hull 7", 1, here_mm=15_000),
        ClothUse(roving.pk, day(12), "Deck", 2, here_mm=5_000, coming_mm=60_000),
    ]
    assert points(roving)[:4] == [
        (TODAY, 20_000, 0), (day(3), 5_000, 0), (day(10), 105_000, 0), (day(12), 40_000, 0),
    ]  # fmt: skip
    words = [(event.kind, event.words) for point in found(roving).found.points for event in point.events]
    assert words == [
        (TAKEN, "Hull 7 takes 15.00 m (planned)"),
        (COMES, f"Order {order.number} comes: 100.00 m"),
        (TAKEN, "Deck takes 65.00 m (planned)"),
    ]


def test_shortage_gives_the_day_the_job_and_the_last_day_to_order(planned, roving, roll):
    planned.short_of(roving, needed_on=day(21), jobs=("Hull 7", "Deck"))
    planned.uses = [ClothUse(roving.pk, day(21), "Hull 7", 1, here_mm=20_000, new_mm=30_000, new_rolls=1)]
    failing = found(roving).failing
    assert (failing.on, failing.jobs, failing.order_by.day) == (day(21), ("Hull 7", "Deck"), day(7))
    assert points(roving)[1] == (day(21), 0, 30_000)


def test_pieces_that_no_new_roll_gives_are_said_on_their_day(planned, roving):
    planned.short_of(roving, rolls=0, needed_on=day(21))
    planned.uses = [ClothUse(roving.pk, day(21), "Hull 7", 1, missing=2)]
    (event,) = found(roving).found.points[1].events
    assert (event.kind, event.words) == (SHORT, "Hull 7 has 2 pieces that no new roll gives either")
    assert found(roving).failing.order_by is None


def test_first_fit_that_finds_less_than_the_planner_is_no_shortage(planned, roving, roll):
    planned.uses = [ClothUse(roving.pk, day(21), "Hull 7", 1, here_mm=15_000, new_mm=5_000, new_rolls=1)]
    assert points(roving)[1] == (day(21), 0, 0)


def test_quoted_job_takes_from_the_worst_case_alone(planned, roving, roll):
    planned.uses = [ClothUse(roving.pk, day(9), "Tender", 3, new_mm=8_000, new_rolls=1, chance_percent=40)]
    point = found(roving).found.points[1]
    assert (point.left, point.low, point.high) == (20_000, 12_000, 20_000)
    assert [(event.kind, event.words) for event in point.events] == [(MAY_COME, "Tender may come, 40 %: 8.00 m")]


def test_material_without_supplier_has_an_outlook_and_no_last_day(planned, roll):
    mat = make_reinforcement("mat", price_per_roll=None)
    planned.short_of(mat, needed_on=day(21))
    assert (found(mat).failing.on, found(mat).failing.order_by) == (day(21), None)
