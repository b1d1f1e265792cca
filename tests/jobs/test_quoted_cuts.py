"""What quoted jobs would cut from new rolls: whole pieces, on what jobs in hand and the minimum leave, for each set."""

import datetime

import pytest

from jobs.models import Job, Ply
from jobs.quoted_cuts import MOST_PACKED
from shopstock import demand
from shopstock.models import Reinforcement, Supplier
from shopstock.to_order import order_lines
from tests.factories import TODAY, make_reinforcement, make_roll, make_supplier, make_sure
from tests.jobs.factories import simple_job

LATER = TODAY + datetime.timedelta(days=60)


@pytest.fixture
def kind(db):
    return make_reinforcement(roll_length_mm=50_000, supplier=make_supplier(lead_time_days=14))


@pytest.fixture
def boat(owner, kind):
    """A job of pieces of which none lies beside another, in hand or quoted."""

    def of(length_mm, *, chance=None, count=1, cut_on=LATER):
        size = {"length_mm": length_mm, "width_mm": 1_200, "may_turn": False, "count": count}
        job = simple_job(by=owner, reinforcement=kind, cut_on=cut_on, **size)
        Job.objects.filter(pk=job.pk).update(chance_percent=chance)
        return job.pk

    return of


def end_of(kind, owner, length_mm):
    return make_sure(make_roll(by=owner, reinforcement=kind, length_mm=length_mm))


def cuts():
    (found,) = demand.quoted_cuts(TODAY)
    return {tuple(sorted(jobs)): new_mm for jobs, new_mm in found.new_mm.items()}


def test_ten_metres_do_not_come_out_of_two_ends_of_six(kind, owner, boat):
    for _ in range(2):
        end_of(kind, owner, 6_000)
    job = boat(10_000, chance=90)
    assert cuts() == {(): (), (job,): (10_000,)}
    (line,) = order_lines(TODAY)
    assert (line.packs, line.reasons[0][:9]) == (1, "May come:")


def test_ten_metres_come_out_of_an_end_of_twelve_and_nothing_is_bought(kind, owner, boat):
    end_of(kind, owner, 12_000)
    job = boat(10_000, chance=90)
    assert cuts() == {(): (), (job,): ()}
    assert order_lines(TODAY) == []


def test_jobs_that_a_roll_does_not_give_together_take_one_each_only_when_both_come(kind, boat):
    # 30 m and 30 m are 60 m: by length, two rolls with 40 m over; a third job of 20 m goes beside either.
    first, second, third = (boat(mm, chance=50) for mm in (30_000, 30_000, 20_000))
    assert cuts() == {
        (): (), (first,): (30_000,), (second,): (30_000,), (third,): (20_000,), (first, second): (30_000, 30_000),
        (first, third): (50_000,), (second, third): (50_000,), (first, second, third): (50_000, 30_000),
    }  # fmt: skip


def test_jobs_in_hand_are_served_first(kind, owner, boat):
    end_of(kind, owner, 12_000)
    boat(8_000)
    job = boat(10_000, chance=90, cut_on=LATER - datetime.timedelta(days=30))
    assert cuts()[(job,)] == (10_000,)


def test_rolls_to_be_bought_for_jobs_in_hand_give_what_they_have_over(kind, boat):
    boat(30_000)
    job = boat(20_000, chance=90)
    assert cuts()[(job,)] == ()
    job = boat(21_000, chance=90)
    assert cuts()[(job,)] == (21_000,)


def test_minimum_stays_on_the_racks_while_the_fabric_is_in_use(kind, owner, boat):
    end_of(kind, owner, 30_000)
    job = boat(10_000, chance=90)
    Reinforcement.objects.update(minimum_mm=20_000)
    assert cuts()[(job,)] == ()
    Reinforcement.objects.update(minimum_mm=20_001)
    assert cuts()[(job,)] == (10_000,)
    Reinforcement.objects.update(active=False)
    assert cuts()[(job,)] == ()


def test_piece_that_no_new_roll_gives_asks_for_none(kind, boat):
    job = boat(51_000, chance=90)
    assert cuts() == {(): (), (job,): ()}


def test_piece_that_only_a_roll_on_the_racks_gives_takes_it_from_the_others(kind, owner, boat):
    end_of(kind, owner, 60_000)
    long, other = boat(51_000, chance=90), boat(10_000, chance=90, cut_on=LATER + datetime.timedelta(days=1))
    assert cuts() == {(): (), (long,): (), (other,): (), (long, other): (10_000,)}


def test_piece_wider_than_any_roll_is_left_to_the_lay_up_to_refuse(kind, owner, boat):
    job = boat(10_000, chance=90)
    Ply.objects.update(width_mm=3_000, may_seam=False)
    assert cuts()[(job,)] == ()


def test_piece_that_may_be_turned_comes_out_of_an_end_as_long_as_it_is_wide(kind, owner, boat):
    end_of(kind, owner, 650)
    job = boat(1_200, chance=90)
    Ply.objects.update(width_mm=600, may_turn=True)
    assert cuts()[(job,)] == ()


def test_job_in_hand_that_nothing_there_is_wide_or_long_enough_for_is_passed_over(kind, owner, boat):
    make_sure(make_roll(by=owner, reinforcement=kind, width_mm=500, length_mm=60_000))
    boat(51_000)
    job = boat(10_000, chance=90)
    assert cuts()[(job,)] == (10_000,)


def test_job_that_no_order_could_serve_in_time_is_left_out_until_the_supplier_is_quicker(kind, boat):
    boat(10_000, chance=90, cut_on=TODAY + datetime.timedelta(days=13))
    assert demand.quoted_cuts(TODAY) == []
    Supplier.objects.update(lead_time_days=13)
    assert len(cuts()) == 2


def test_many_quoted_jobs_are_not_tried_each_way_but_still_bought_for(kind, boat):
    jobs = [boat(20_000, chance=90) for _ in range(MOST_PACKED)]
    assert len(cuts()) == 2 ** len(jobs)
    boat(20_000, chance=90)
    assert demand.quoted_cuts(TODAY) == []
    (line,) = order_lines(TODAY)
    assert (line.packs > 1, line.reasons[0].endswith("Counted by length, not piece by piece")) == (True, True)


def test_without_quoted_jobs_there_are_none(kind, boat):
    boat(10_000)
    assert demand.quoted_cuts(TODAY) == []
