"""A search betters the plan on offer in place, never makes it worse, and stops where the racks have moved on."""

import json
import threading
from dataclasses import replace

import pytest

from jobs.calc.cutting import PlacedBlank, Strip
from jobs.cutting.actions import PlanBettered, confirm_plan
from jobs.models import CuttingPlan, Job, PlanRun
from jobs.plan_making import make_plan, problems_asked, wanted_of
from jobs.plan_rows import write_material
from jobs.plan_runs import claim_next, queue_run, show_worker, stop_run
from jobs.plan_search import PlanSearch, RacksChanged, questions_of
from jobs.plan_work import work_once
from jobs.queries import with_lay_up
from shopstock import ledger
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.cutting.plan_check import wrongs
from tests.jobs.factories import make_job, make_part, make_ply

SIZES = [(2_100, 700), (1_300, 500), (900, 640), (1_750, 410), (620, 580), (1_480, 330), (860, 760), (1_120, 290)]


@pytest.fixture
def roll(owner):
    return make_sure(make_roll(by=owner, reinforcement=make_reinforcement(), length_mm=40_000))


@pytest.fixture
def job(owner, roll):
    job = make_job(by=owner)
    part = make_part(job)
    for length_mm, width_mm in SIZES:
        make_ply(part, roll.reinforcement, length_mm=length_mm, width_mm=width_mm, count=3)
    return job


def one_piece_a_strip(plan: CuttingPlan) -> None:
    """Put a correct but wasteful plan in its place, as a first plan may be."""
    [question] = questions_of(plan).values()
    found, at_mm, strips = question.planned(0.1).found, 0, []
    for blank in question.problem.blanks:
        for _ in range(blank.count):
            placed = PlacedBlank(blank.id, 0, 0, blank.across_mm, blank.along_mm)
            strips.append(Strip(question.cloth[0].roll.code, at_mm, blank.along_mm, (placed,)))
            at_mm += blank.along_mm
    cloth_mm2 = at_mm * question.cloth[0].usable_width_mm
    wasteful = replace(found, strips=tuple(strips), offcuts=(), dead_ends=(), cloth_mm2=cloth_mm2, proved=False)
    write_material(plan, question.answer(wasteful))
    plan.save()


@pytest.fixture
def plan(job, owner) -> CuttingPlan:
    show_worker("one", at=NOON)  # with one there the first plan is made in a moment
    plan = make_plan(job=job, by=owner, at=NOON)
    plan.runs.all().delete()
    one_piece_a_strip(plan)
    return plan


def asked_for(plan, owner, **limits) -> PlanRun:
    problems = problems_asked([question.answer(None) for question in questions_of(plan).values()])
    return queue_run(plan, problems=problems, by=owner, at=NOON, **{"seconds": 5, "work_limit": 20} | limits)


def test_wasteful_plan_used_by_these_tests_is_correct(plan):
    assert wrongs(plan) == []
    assert plan.materials[0]["taken_mm"] == 3 * sum(length for length, _ in SIZES)


def test_search_puts_a_better_plan_in_place_and_keeps_the_figures(plan, owner):
    run = asked_for(plan, owner)
    PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
    run.refresh_from_db()
    plan = CuttingPlan.objects.get(pk=plan.pk)
    assert wrongs(plan) == []
    pieces = sum(strip.blanks.count() for strip in plan.strips.all())
    assert (pieces, plan.state) == (3 * len(SIZES), "offered")
    laid_mm2 = plan.materials[0]["laid_m2"]
    assert laid_mm2 == pytest.approx(3 * sum(length * width for length, width in SIZES) / 1e6, abs=0.001)
    assert run.cloth_mm2 == sum(strip.length_mm * 1_250 for strip in plan.strips.all()) < 0.75 * run.first_cloth_mm2
    assert 0 < run.bound_mm2 <= run.cloth_mm2
    assert (run.state, run.times_better > 0, plan.revision > 1) == ("improved", True, True)


def test_same_problem_seed_and_work_limit_give_the_same_plan(plan, owner):
    found = []
    for _ in range(2):
        one_piece_a_strip(plan)
        run = asked_for(plan, owner, seconds=60, work_limit=10, seed=4)
        PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
        run.refresh_from_db()
        PlanRun.objects.filter(pk=run.pk).update(state="done")
        found.append([row["strips"] for row in run.best.values()])
    assert found[0] == found[1]


def test_time_ends_a_search_whose_work_limit_is_far_off(plan, owner):
    asked_for(plan, owner, seconds=1, work_limit=5_000_000)
    search = PlanSearch(claim_next("one", at=NOON), now=lambda: NOON)
    search.search()
    assert search.spent < 20


def test_plan_is_never_put_in_place_of_a_better_one(job, owner):
    plan = make_plan(job=job, by=owner, at=NOON)
    before = plan.materials[0]["merit"]
    asked_for(plan, owner, work_limit=1)
    PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
    assert CuttingPlan.objects.get(pk=plan.pk).materials[0]["merit"] <= before


def test_search_stops_when_a_roll_it_would_use_was_cut_meanwhile(plan, owner, roll):
    asked_for(plan, owner)
    ledger.record_cut(roll=roll, length_mm=500, by=owner, at=NOON, key=new_key())
    with pytest.raises(RacksChanged, match=f"Roll {roll.code} has changed"):
        PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
    assert CuttingPlan.objects.get(pk=plan.pk).revision == plan.revision


def test_plan_bettered_while_somebody_looked_is_not_confirmed_unseen(plan, owner):
    asked_for(plan, owner)
    PlanSearch(claim_next("one", at=NOON), now=lambda: NOON).search()
    with pytest.raises(PlanBettered):
        confirm_plan(plan=plan, by=owner, at=NOON, revision=plan.revision)
    newer = CuttingPlan.objects.get(pk=plan.pk)
    assert confirm_plan(plan=newer, by=owner, at=NOON, revision=newer.revision).state == "confirmed"


def test_confirming_ends_the_search(plan, owner):
    run = asked_for(plan, owner)
    confirm_plan(plan=plan, by=owner, at=NOON)
    run.refresh_from_db()
    assert (run.state, run.reason) == ("cancelled", "the plan was confirmed as it stood")


def test_what_is_asked_again_is_what_the_plan_was_made_for(job, owner):
    show_worker("one", at=NOON)
    plan = make_plan(job=job, by=owner, at=NOON)
    kept = plan.runs.get().problems
    asked = problems_asked([question.answer(None) for question in questions_of(plan).values()])
    assert kept == json.loads(json.dumps(asked))
    assert set(wanted_of(with_lay_up(Job.objects.all())).kinds) == {row["reinforcement"] for row in kept}


@pytest.mark.django_db(transaction=True)
def test_worker_takes_the_search_and_reports_it_done(plan, owner):
    run = asked_for(plan, owner, work_limit=3)
    assert work_once("one", now=lambda: NOON, ending=threading.Event())
    run.refresh_from_db()
    assert (run.state, run.finished_at, run.reason) == ("done", NOON, "")
    assert not work_once("one", now=lambda: NOON, ending=threading.Event())


@pytest.mark.django_db(transaction=True)
def test_search_that_goes_wrong_is_reported_with_its_reason(plan, owner, caplog):
    run = asked_for(plan, owner)
    run.problems[0]["problem"]["stages"] = 9
    run.save()
    work_once("one", now=lambda: NOON, ending=threading.Event())
    run.refresh_from_db()
    assert run.state == "failed"
    assert "stages" in run.reason


@pytest.mark.django_db(transaction=True)
def test_worker_told_to_end_leaves_the_search_for_another(plan, owner):
    run = asked_for(plan, owner, seconds=60, work_limit=None)
    ending = threading.Event()
    ending.set()
    work_once("one", now=lambda: NOON, ending=ending)
    run.refresh_from_db()
    assert (run.state, run.worker, run.attempts) == ("waiting", "", 0)


def test_good_enough_said_before_the_search_leaves_the_plan_as_it_is(plan, owner):
    asked_for(plan, owner)
    stop_run(plan, at=NOON)
    assert claim_next("one", at=NOON) is None
    assert CuttingPlan.objects.get(pk=plan.pk).revision == plan.revision
