"""Jobs planned together: one plan, what it saves, confirming and giving back for all of them."""

from dataclasses import replace

import pytest

from jobs.cutting.actions import cancel_plan, confirm_plan
from jobs.job_list.actions import cancel_job
from jobs.models import CuttingPlan, Job
from jobs.plan_making import make_plan, together_with
from jobs.plan_search import questions_of
from jobs.plans import notice_cut
from jobs.queries import confirmed_plan, jobs_of
from jobs.together import behind, better
from shopstock import ledger
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.cutting.plan_check import wrongs
from tests.jobs.factories import simple_job


@pytest.fixture
def kind(db):
    return make_reinforcement()


@pytest.fixture
def roll(owner, kind):
    return make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000))


@pytest.fixture
def jobs(owner, kind, roll) -> list[Job]:
    """Each fills half of a strip of its own; together they share one."""
    sizes = {"reinforcement": kind, "length_mm": 3_000, "width_mm": 600, "may_turn": False}
    return [simple_job(by=owner, name=name, **sizes) for name in ("Skiff 3", "Dinghy 2")]


@pytest.fixture
def plan(jobs, owner) -> CuttingPlan:
    return make_plan(job=jobs[0], also=jobs[1:], by=owner, at=NOON)


def test_what_one_job_leaves_feeds_the_other_and_the_saving_is_told(plan):
    assert wrongs(plan) == []
    assert [strip.length_mm for strip in plan.strips.all()] == [3_000]
    assert sum(plan.alone["cut_off_mm2"].values()) == 2 * 3_000 * 1_250
    assert plan.materials[0]["cut_off_m2"] == 3.75


def test_pieces_are_named_by_their_job(plan):
    names = {blank.name for strip in plan.strips.all() for blank in strip.blanks.all()}
    assert names == {"Skiff 3: Hull 1", "Dinghy 2: Hull 1"}
    assert {str(job) for job in jobs_of(plan)} == {"Skiff 3", "Dinghy 2"}


def test_confirming_makes_every_job_ready_and_a_shared_strip_names_both(plan, jobs, owner, roll):
    confirm_plan(plan=plan, by=owner, at=NOON)
    assert set(Job.objects.values_list("state", flat=True)) == {"ready"}
    purpose = roll.set_asides.get().purpose
    assert set(purpose.split(" + ")) == {"Skiff 3", "Dinghy 2"}
    assert [confirmed_plan(job) for job in jobs] == [plan, plan]


def test_confirming_together_gives_back_what_each_had_confirmed_before(jobs, owner, roll):
    for job in jobs:
        confirm_plan(plan=make_plan(job=job, by=owner, at=NOON), by=owner, at=NOON)
    together = make_plan(job=jobs[0], also=jobs[1:], by=owner, at=NOON)
    confirm_plan(plan=together, by=owner, at=NOON)
    roll.refresh_from_db()
    assert roll.set_aside_mm == 3_000
    assert CuttingPlan.objects.filter(state="confirmed").get() == together


def test_jobs_confirmed_together_are_planned_again_together(plan, jobs, owner):
    confirm_plan(plan=plan, by=owner, at=NOON)
    assert together_with([jobs[1]]) == jobs
    again = make_plan(job=jobs[1], by=owner, at=NOON)
    assert set(jobs_of(again)) == set(jobs)


def test_both_jobs_are_done_when_the_shared_strip_is_cut(plan, jobs, owner, roll):
    confirm_plan(plan=plan, by=owner, at=NOON)
    promise = roll.set_asides.get()
    roll.refresh_from_db()
    ledger.record_cut(roll=roll, length_mm=3_000, by=owner, at=NOON, key=new_key(), set_aside=promise)
    assert [notice_cut(Job.objects.get(pk=job.pk), plan) for job in jobs] == [True, True]


def test_cancelling_the_plan_makes_every_job_a_draft_again(plan, owner):
    confirm_plan(plan=plan, by=owner, at=NOON)
    assert cancel_plan(plan=plan, at=NOON) == 1
    assert set(Job.objects.values_list("state", flat=True)) == {"draft"}


def test_cancelled_job_leaves_the_strips_that_others_share(plan, jobs, owner, roll):
    confirm_plan(plan=plan, by=owner, at=NOON)
    assert cancel_job(job=jobs[0], at=NOON) == 0
    roll.refresh_from_db()
    plan.refresh_from_db()
    assert (roll.set_aside_mm, plan.state, list(jobs_of(plan))) == (3_000, "confirmed", [jobs[1]])


def test_cancelled_job_gives_back_strips_of_its_own(owner, kind, roll):
    wide = [simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200) for _ in range(2)]
    plan = make_plan(job=wide[0], also=wide[1:], by=owner, at=NOON)
    confirm_plan(plan=plan, by=owner, at=NOON)
    assert cancel_job(job=wide[1], at=NOON) == 1
    roll.refresh_from_db()
    assert roll.set_aside_mm == 2_000


def test_newer_plan_of_one_job_takes_the_shared_offer_off(plan, jobs, owner):
    make_plan(job=jobs[1], by=owner, at=NOON)
    plan.refresh_from_db()
    assert plan.state == "replaced"


def test_together_is_never_worse_than_one_by_one(owner, kind, roll):
    jobs = [
        simple_job(by=owner, reinforcement=kind, length_mm=length, width_mm=width, count=3)
        for length, width in ((2_100, 700), (1_300, 500), (900, 640))
    ]
    plan = make_plan(job=jobs[0], also=jobs[1:], by=owner, at=NOON)
    assert wrongs(plan) == []
    assert plan.materials[0]["cut_off_m2"] <= sum(plan.alone["cut_off_mm2"].values()) / 1e6
    assert sum(strip.blanks.count() for strip in plan.strips.all()) == 9


def test_strips_of_one_by_one_are_taken_where_they_need_less(plan, owner):
    [question] = questions_of(plan).values()
    good = question.planned(0.1)
    wasteful = replace(good, strips=tuple(replace(strip, length_mm=strip.length_mm + 900) for strip in good.strips))
    chosen = better(wasteful, replace(good, found=None))
    assert [strip.length_mm for strip in chosen.strips] == [3_000]
    assert chosen.found.cloth_mm2 == 3_000 * 1_250
    assert better(good, replace(wasteful, found=None)) is good


def test_cloth_behind_strips_begins_where_the_last_of_them_ends(plan, owner):
    [question] = questions_of(plan).values()
    material = question.planned(0.1)
    [left] = behind(question.cloth, material.strips)
    assert (left.start_mm, left.clean) == (3_000, ((3_000, 20_000),))
