import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Roll, Shop
from shopstock.watch import Severity, WatchItem, watch_list
from tests.factories import NOON, TODAY, make_place, make_reinforcement, make_roll, new_key
from tests.shopstock.demand_source import day


def found(kind: str, on: datetime.date = TODAY) -> list[WatchItem]:
    return [item for item in watch_list(on) if item.kind == kind]


def write(what, roll, by, **more):
    return what(roll=roll, by=by, at=NOON, key=new_key(), **more)


@pytest.fixture
def roll(clerk, planned):
    return make_roll(
        by=clerk, reinforcement=make_reinforcement("woven roving 600"), length_mm=10_000, place=make_place()
    )


def crease(roll, by, cause="crease"):
    write(ledger.report_fault, roll, by, fault=FoundFault(4_000, 4_500, cause))


def test_crease_is_warned_of_with_where_it_lies_and_which_job_is_on_the_roll(roll, clerk):
    crease(roll, clerk)
    ledger.set_aside(promises=[ledger.Promise(roll, 3_000, "Hull 7")], by=clerk, at=NOON)
    (item,) = found("folded")
    assert (item.severity, item.cause, item.jobs, item.since, item.page, item.page_arg) == (
        Severity.SOON, "Crease 4.00 m to 4.50 m from the free end.", ("Hull 7",), TODAY, "roll", roll.code,
    )  # fmt: skip
    assert item.what == f"Roll {roll.code}, woven roving 600, 10.00 m, Rack A1"


def test_laminator_may_open_the_page_that_a_warning_of_folded_cloth_leads_to(roll, client, laminator):
    Roll.objects.update(lying=Roll.Lying.FOLDED)
    (item,) = found("folded")
    client.force_login(laminator)
    assert client.get(reverse(item.page, args=[item.page_arg])).status_code == 200


def test_crease_stays_where_it_is_as_the_roll_gets_shorter_and_ends_when_cut_off(roll, clerk):
    crease(roll, clerk, "fold")
    write(ledger.record_cut, roll, clerk, length_mm=1_000)
    assert found("folded")[0].cause == "Fold 3.00 m to 3.50 m from the free end."
    write(ledger.record_loss, roll, clerk, length_mm=3_500, reason="fold")
    assert found("folded") == []


def test_crease_that_was_cleared_is_no_warning(roll, clerk):
    crease(roll, clerk)
    ledger.clear_fault(fault=roll.faults.get(), by=clerk, at=NOON, key=new_key(), reason="looked sound under load")
    assert found("folded") == []


def test_wet_stretch_is_no_fold(roll, clerk):
    crease(roll, clerk, "wet")
    assert found("folded") == []


@pytest.mark.parametrize(("form", "severity"), [("woven_roving", Severity.URGENT), ("mat", Severity.SOON)])
def test_roll_that_lies_folded_is_urgent_unless_it_is_mat(planned, clerk, form, severity):
    roll = make_roll(by=clerk, reinforcement=make_reinforcement(form=form), lying="folded")
    assert [(item.severity, item.page_arg, item.since) for item in found("folded")] == [(severity, roll.code, TODAY)]
    ledger.move_roll(roll=roll, place=make_place(), lying="core", by=clerk, at=NOON, key=new_key())
    assert found("folded") == []


def test_two_creases_on_one_roll_are_one_warning(roll, clerk):
    crease(roll, clerk)
    write(ledger.report_fault, roll, clerk, fault=FoundFault(1_000, 1_100, "fold"))
    assert [item.cause for item in found("folded")] == [
        "Fold 1.00 m to 1.10 m from the free end; Crease 4.00 m to 4.50 m from the free end."
    ]


def test_quarantine_is_warned_of_the_day_after_the_shops_limit(roll, clerk):
    write(ledger.quarantine, roll, clerk, reason="wet edge")
    assert found("quarantine", day(14)) == []
    (item,) = found("quarantine", day(15))
    assert item.cause == "Wet edge. Quarantined since 2026-03-02, 15 days."


def test_quarantine_that_was_released_is_no_warning(roll, clerk):
    write(ledger.quarantine, roll, clerk, reason="wet edge")
    write(ledger.release, roll, clerk, reason="dried")
    assert found("quarantine", day(40)) == []


def test_low_stock_trips_one_millimetre_below_the_minimum(planned, clerk):
    cloth = make_reinforcement("cloth 200", minimum_mm=30_000)
    roll = make_roll(by=clerk, reinforcement=cloth, length_mm=30_000)
    assert found("low_stock") == []
    write(ledger.record_cut, roll, clerk, length_mm=1)
    (item,) = found("low_stock")
    assert (item.cause, item.to_do, item.severity) == (
        "29.999 m free on full rolls; the minimum is 30.00 m.", "Order at least 1 roll of 50.00 m.", Severity.SOON,
    )  # fmt: skip


def test_low_stock_with_nothing_left_is_urgent(planned):
    make_reinforcement("cloth 200", minimum_mm=60_000)
    assert [(item.severity, item.to_do) for item in found("low_stock")] == [
        (Severity.URGENT, "Order at least 2 rolls of 50.00 m.")
    ]


@pytest.mark.parametrize(("shortest_mm", "count"), [(800, 0), (801, 1)])
def test_end_is_too_short_when_no_planned_blank_comes_out_of_it(planned, clerk, shortest_mm, count):
    end = make_roll(by=clerk, length_mm=800)
    planned.shortest_mm = {end.reinforcement_id: shortest_mm}
    assert [item.page_arg for item in found("short_end")] == [end.code] * count


def test_end_is_judged_by_its_longest_clean_free_piece(planned, roll, clerk):
    # 10 m with a crease from 4.0 to 4.5 m: 5.5 m in one piece; with 5 m set aside behind it, 4 m; with 4 m more, 0.5 m.
    planned.shortest_mm = {roll.reinforcement_id: 5_000}
    crease(roll, clerk)
    assert found("short_end") == []
    ledger.set_aside(promises=[ledger.Promise(roll, 5_000, "Hull 7")], by=clerk, at=NOON)
    assert [item.cause for item in found("short_end")] == [
        "Longest free piece 4.00 m; the shortest planned piece of it is 5.00 m long."
    ]


@pytest.mark.parametrize(("shortest_mm", "count"), [(5_500, 0), (5_501, 1)])
def test_end_with_a_crease_gives_a_piece_of_just_its_longest_stretch(planned, roll, clerk, shortest_mm, count):
    planned.shortest_mm = {roll.reinforcement_id: shortest_mm}
    crease(roll, clerk)
    assert len(found("short_end")) == count


def test_end_that_is_all_set_aside_or_not_in_any_plan_or_quarantined_is_no_warning(planned, clerk):
    promised, unplanned, bad = (make_roll(by=clerk, length_mm=800) for _ in range(3))
    planned.shortest_mm = {promised.reinforcement_id: 900, bad.reinforcement_id: 900}
    ledger.set_aside(promises=[ledger.Promise(promised, 800, "Hull 7")], by=clerk, at=NOON)
    write(ledger.quarantine, bad, clerk, reason="oil")
    assert found("short_end") == []


def test_offcut_too_short_is_warned_of_as_offcut(planned, roll, clerk):
    write(ledger.record_cut, roll, clerk, length_mm=600)
    offcut = ledger.record_offcut(parent=roll, width_mm=400, length_mm=600, by=clerk, at=NOON, key=new_key())
    planned.shortest_mm = {roll.reinforcement_id: 700}
    (item,) = found("short_end")
    assert item.what.startswith(f"Offcut {offcut.code}, woven roving 600, 600 mm")


def test_lengths_are_told_in_the_units_of_the_shop(planned, clerk):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    end = make_roll(by=clerk, length_mm=762)
    planned.shortest_mm = {end.reinforcement_id: 1_270}
    assert found("short_end")[0].cause == "Longest free piece 30 in; the shortest planned piece of it is 50 in long."


def test_empty_store_gives_no_warning(planned):
    assert watch_list(TODAY) == []


def test_list_asks_the_database_the_same_number_of_times_for_more_rolls(
    planned, roll, clerk, django_assert_num_queries
):
    def trouble(bad):
        crease(bad, clerk)
        ledger.set_aside(promises=[ledger.Promise(bad, 1_000, "Hull 7")], by=clerk, at=NOON)
        planned.shortest_mm[bad.reinforcement_id] = 9_000

    trouble(roll)
    watch_list(TODAY)
    with django_assert_num_queries(QUERIES):
        watch_list(TODAY)
    for _ in range(2):
        trouble(make_roll(by=clerk, length_mm=10_000))
    with django_assert_num_queries(QUERIES):
        assert len(watch_list(TODAY)) == 6


QUERIES = 26
