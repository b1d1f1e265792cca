"""The queue of searches: one worker a search, silence, being stopped, cancelled and given up."""

import datetime

import pytest
from django.db import IntegrityError

from jobs.models import PlanRun
from jobs.plan_making import make_plan
from jobs.plan_runs import (
    RunGone,
    beat,
    cancel_runs,
    claim,
    claim_next,
    fail,
    finish,
    note_better,
    queue_run,
    show_worker,
    stop_run,
    take_over_silent_runs,
    worker_is_there,
)
from jobs.plans import drop_offers
from tests.factories import NOON, make_reinforcement, make_roll
from tests.jobs.factories import planned, simple_job


def later(seconds: float) -> datetime.datetime:
    return NOON + datetime.timedelta(seconds=seconds)


@pytest.fixture
def job(owner):
    kind = make_reinforcement()
    make_roll(by=owner, reinforcement=kind)
    return simple_job(by=owner, reinforcement=kind)


@pytest.fixture
def run(job, owner) -> PlanRun:
    return queue_run(planned(job, owner), problems=[], by=owner, at=NOON)


def now_of(run: PlanRun) -> PlanRun:
    return PlanRun.objects.get(pk=run.pk)


def test_worker_counts_as_there_for_fifteen_seconds_after_it_was_heard_of(db):
    assert not worker_is_there(NOON)
    show_worker("one", at=NOON)
    assert (worker_is_there(later(14)), worker_is_there(later(16))) == (True, False)


def test_plan_is_searched_on_only_when_a_worker_is_there(job, owner):
    assert not make_plan(job=job, by=owner, at=NOON).runs.exists()
    show_worker("one", at=NOON)
    run = make_plan(job=job, by=owner, at=NOON).runs.get()
    assert (run.state, run.problems[0]["problem"]["blanks"][0]["along_mm"]) == ("waiting", 2_000)


def test_one_search_is_claimed_by_one_worker(run):
    assert claim_next("one", at=NOON) == run
    assert claim_next("two", at=NOON) is None
    assert (now_of(run).state, now_of(run).worker, now_of(run).attempts) == ("running", "one", 1)


def test_of_two_workers_that_saw_the_same_search_waiting_one_gets_it(run):
    assert [claim(run.pk, "one", at=NOON), claim(run.pk, "two", at=NOON)] == [True, False]
    assert now_of(run).worker == "one"


def test_plan_has_one_search_at_a_time(run, owner):
    with pytest.raises(IntegrityError):
        queue_run(run.plan, problems=[], by=owner, at=NOON)


def test_search_of_a_silent_worker_waits_again_and_the_silent_one_may_write_no_more(run):
    lost = claim_next("one", at=NOON)
    assert take_over_silent_runs(at=later(10)) == 0
    assert take_over_silent_runs(at=later(16)) == 1
    assert claim_next("two", at=later(16)) == run
    with pytest.raises(RunGone):
        beat(lost, at=later(17), spent_ms=1)
    finish(lost, at=later(17))
    assert (now_of(run).state, now_of(run).worker) == ("running", "two")


def test_search_that_stops_its_worker_three_times_has_failed_and_says_so(run):
    for attempt in range(3):
        claim_next("one", at=later(100 * attempt))
        take_over_silent_runs(at=later(100 * attempt + 20))
    assert now_of(run).state == "failed"
    assert "stopped in the middle 3 times" in now_of(run).reason


def test_good_enough_is_heard_with_the_next_heartbeat(run):
    mine = claim_next("one", at=NOON)
    assert beat(mine, at=later(1), spent_ms=1_000) is False
    assert stop_run(run.plan, at=later(1))
    assert beat(mine, at=later(2), spent_ms=2_000) is True
    assert now_of(run).spent_ms == 2_000


def test_search_that_has_not_begun_is_over_at_once_when_good_enough_is_said(run):
    assert stop_run(run.plan, at=NOON)
    assert (now_of(run).state, claim_next("one", at=NOON)) == ("done", None)
    assert not stop_run(run.plan, at=NOON)


def test_search_for_a_plan_that_does_not_count_any_more_is_cancelled(run, job):
    mine = claim_next("one", at=NOON)
    drop_offers(job, at=NOON)
    assert now_of(run).state == "cancelled"
    with pytest.raises(RunGone):
        note_better(mine, at=NOON, better=True, cloth_mm2=1)


def test_failed_search_keeps_its_reason(run):
    fail(claim_next("one", at=NOON), at=NOON, reason="Roll X has changed")
    assert (now_of(run).state, now_of(run).reason, now_of(run).finished_at) == ("failed", "Roll X has changed", NOON)


def test_cancelling_counts_only_searches_still_going(run):
    assert cancel_runs([run.plan], at=NOON, reason="x") == 1
    assert cancel_runs([run.plan], at=NOON, reason="x") == 0


def test_newer_plan_cancels_the_search_for_the_one_before(run, job, owner):
    planned(job, owner)
    assert now_of(run).state == "cancelled"
