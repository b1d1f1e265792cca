import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Roll, Shop
from shopstock.watch import watch_list
from shopstock.watch_items import Severity
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, new_key


def found(kind: str, on=TODAY) -> list:
    return [item for item in watch_list(on) if item.kind == kind]


def promise(roll, length_mm, by):
    ledger.set_aside(promises=[ledger.Promise(roll, length_mm, "hull 3")], by=by, at=NOON)


def test_rolls_are_measured_next_by_doubt_times_what_is_planned(owner):
    long, short, unplanned = (make_roll(by=owner, length_mm=length) for length in (50_000, 25_000, 60_000))
    promise(long, 5_000, owner)
    promise(short, 20_000, owner)
    assert [item.page_arg for item in found("measure_next")] == [short.code, long.code]
    assert unplanned.code not in str(found("measure_next"))


def test_roll_worth_measuring_says_how_unsure_it_is_and_after_how_many_cuts(owner):
    roll = make_roll(by=owner, length_mm=55_000)
    ledger.record_cut(roll=roll, length_mm=2_000, by=owner, at=NOON, key=new_key())
    promise(roll, 5_000, owner)
    [item] = found("measure_next")
    assert item.cause == "53.0 m, give or take 0.6 m, after 1 cut; 5.00 m set aside."
    assert (item.severity, item.page) == (Severity.NOTE, "roll-recount")


def test_promise_that_may_not_come_out_is_sooner(owner):
    roll = make_roll(by=owner, length_mm=50_000)
    promise(roll, 49_900, owner)
    assert found("measure_next")[0].severity == Severity.SOON


def test_taped_roll_needs_no_measuring(owner):
    roll = make_roll(by=owner, length_mm=50_000)
    ledger.record_recount(roll=roll, length_mm=50_000, reason="tape", by=owner, at=NOON, key=new_key())
    promise(roll, 5_000, owner)
    assert found("measure_next") == []


@pytest.fixture
def offcut(owner) -> Roll:
    roll = make_roll(by=owner, reinforcement=make_reinforcement("mat 450"))
    ledger.record_cut(roll=roll, length_mm=1_200, by=owner, at=NOON, key=new_key())
    return ledger.record_offcut(parent=roll, width_mm=600, length_mm=1_200, by=owner, at=NOON, key=new_key())


@pytest.mark.parametrize(("days", "count"), [(269, 0), (270, 1)])
def test_offcut_comes_up_for_binning_after_the_shops_keeping_time(offcut, days, count):
    items = found("old_offcut", TODAY + datetime.timedelta(days=days))
    assert [item.page_arg for item in items] == [offcut.code] * count


def test_own_keeping_time_of_a_fabric_goes_first(offcut):
    offcut.reinforcement.offcut_keep_days = 30
    offcut.reinforcement.save()
    [item] = found("old_offcut", TODAY + datetime.timedelta(days=30))
    assert item.what == f"Offcut {offcut.code}, mat 450, 1.20 m × 600 mm"


def test_offcut_that_is_set_aside_is_not_old(offcut, owner):
    promise(offcut, 900, owner)
    assert found("old_offcut", TODAY + datetime.timedelta(days=400)) == []


def test_today_links_to_the_measuring(client, owner):
    Shop.current()
    roll = make_roll(by=owner, length_mm=50_000)
    promise(roll, 5_000, owner)
    client.force_login(owner)
    page = client.get(reverse("today")).content.decode()
    assert "Worth measuring next" in page
    assert reverse("roll-recount", args=[roll.code]) in page
