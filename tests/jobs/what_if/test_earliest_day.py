"""The earliest day of an imagined job against every day tried one by one, and by hand."""

import datetime
import random
from decimal import Decimal

import pytest

from jobs.imagined import imagine
from jobs.models import Job, Ply
from jobs.what_if.answer import answer
from jobs.what_if.trial import Trial
from shopstock.models import Order, OrderLine, Shop
from tests.factories import (
    NOON,
    TODAY,
    make_chemical,
    make_container,
    make_reinforcement,
    make_roll,
    make_supplier,
    make_sure,
    new_key,
)
from tests.jobs.factories import make_ply, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

PLY = {"width_mm": 1_200, "may_turn": False}


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def kind(db):
    return make_reinforcement("roving 600", supplier=make_supplier(lead_time_days=21))


def skiff(owner, kind, length_mm: int) -> Job:
    job = simple_job(by=owner, reinforcement=kind, name="Skiff", length_mm=length_mm, **PLY)
    Job.objects.filter(pk=job.pk).update(state=Job.State.DONE)
    return job


def roll(owner, kind, length_mm: int) -> None:
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=length_mm))


def other_job(owner, kind, number: int, length_mm: int, name: str | None = None) -> Job:
    return simple_job(by=owner, reinforcement=kind, name=name, cut_on=day(number), length_mm=length_mm, **PLY)


def ordered(owner, kind, number: int, length_mm: int) -> None:
    order = Order.objects.create(
        supplier=kind.supplier, currency="EUR", expected_on=day(number), made_by=owner, made_at=NOON,
        key=new_key("order"), state=Order.State.SENT, approved_by=owner, approved_at=NOON,
    )  # fmt: skip
    OrderLine.objects.create(order=order, reinforcement=kind, packs=1, price=1, width_mm=1270, length_mm=length_mm)


def found(job: Job, times: int = 1, number: int = 0):
    return answer(job, times=times, cut_on=day(number), on=TODAY, shop=Shop.current())


def by_trying_every_day(job: Job, times: int, last: int) -> datetime.date | None:
    """The first day on which nothing is late, asked of each day by itself."""
    shop = Shop.current()
    for number in range(last + 1):
        tried = imagine(job, times=times, cut_on=day(number), name="tried")
        if not list(Trial(tried, TODAY, shop).late_on(day(number))):
            return day(number)
    return None


def test_it_is_cut_behind_a_job_that_leaves_it_enough_before_new_cloth_is_here(owner, kind):
    # ends of 10.5 m and 14.5 m: today 2 m would come off the short one, which Late needs whole; Late leaves 2.5 m
    roll(owner, kind, 10_500)
    roll(owner, kind, 14_500)
    late = other_job(owner, kind, 9, 12_000)
    make_ply(late.parts.get(), kind, length_mm=10_000, **PLY)
    assert found(skiff(owner, kind, 2_000)).earliest_on == day(9)


def test_it_waits_until_what_is_ordered_is_here(owner, kind):
    ordered(owner, kind, 6, 30_000)
    assert found(skiff(owner, kind, 10_000)).earliest_on == day(6)


def test_it_waits_for_the_slowest_of_cloth_and_resin(owner, kind):
    resin = make_chemical("resin", supplier=make_supplier("Slow", lead_time_days=33), pack_g=25_000)
    job = skiff(owner, kind, 10_000)
    Job.objects.filter(pk=job.pk).update(resin=resin)
    assert found(job).earliest_on == day(33)
    make_container(by=owner, chemical=resin, mass_g=200_000)
    assert found(job).earliest_on == day(21)


@pytest.mark.parametrize("seed", range(12))
def test_earliest_day_is_the_first_of_all_days_on_which_nothing_is_late(owner, kind, seed):
    chance = random.Random(seed)
    for _ in range(chance.randint(0, 3)):
        roll(owner, kind, chance.choice([4_500, 9_500, 13_500, 20_500]))
    for _ in range(chance.randint(0, 4)):
        other_job(owner, kind, chance.randint(0, 25), chance.choice([4_000, 9_000, 13_000]))
    for _ in range(chance.randint(0, 2)):
        ordered(owner, kind, chance.randint(1, 20), chance.choice([10_000, 20_000]))
    job, times = skiff(owner, kind, chance.choice([4_000, 9_000])), chance.randint(1, 3)
    assert found(job, times).earliest_on == by_trying_every_day(job, times, 22)


def test_days_beyond_many_deliveries_are_tried_too(owner, kind):
    for number in range(1, 21):
        ordered(owner, kind, number, 1_000)
    assert found(skiff(owner, kind, 10_000)).earliest_on == day(21)


def test_job_of_many_rolls_can_be_cut_when_they_are_here(owner, kind):
    job = skiff(owner, kind, 30_000)
    asked = found(job, 50, 30)
    assert [(row.takes, row.short, row.problem) for row in asked.rows] == [(1_500_000, 1_500_000, "")]
    assert ([item.packs for more in asked.more for item in more.lines], asked.earliest_on) == ([50], day(21))


def test_ply_that_no_roll_is_wide_enough_for_is_a_problem_and_no_day_is_named(owner, kind):
    job = skiff(owner, kind, 5_000)
    Ply.objects.update(width_mm=3_000, may_seam=False)
    asked = found(job, 2, 30)
    assert "2 pieces find no place on a new roll either" in asked.rows[0].problem
    assert (asked.can_be_kept, asked.earliest_on) == (False, None)


def test_cost_by_hand_of_two_rolls_more_and_the_freight_of_the_first_order(owner, kind):
    type(kind.supplier).objects.update(freight=Decimal("35.00"))
    roll(owner, kind, 20_500)
    # 5 times 12 m: one off the rack, four to a roll of 50 m: 1 roll at 120.00 and 35.00
    (more,) = found(skiff(owner, kind, 12_000), 5, 40).more
    assert ([item.packs for item in more.lines], more.cost) == ([1], Decimal("155.00"))
