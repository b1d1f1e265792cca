"""Confirming sets aside at once or refuses; cancelling gives back."""

import datetime

import pytest

from jobs.cutting.actions import PlanGone, PlanIsShort, StalePlan, cancel_plan, confirm_plan
from jobs.job_list.actions import cancel_job
from jobs.models import CuttingPlan, Job
from jobs.plans import drop_offers, notice_cut
from jobs.queries import confirmed_plan, standing_of
from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import SetAside
from tests.factories import NOON, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, planned, simple_job


@pytest.fixture
def kind(db):
    return make_reinforcement()


@pytest.fixture
def roll(kind, owner):
    """Two clean stretches, each long enough for one of the job's pieces."""
    fault = FoundFault(2_100, 2_400, "crease")
    return make_roll(by=owner, reinforcement=kind, length_mm=4_500, faults=[fault])


@pytest.fixture
def job(owner, kind, roll) -> Job:
    return simple_job(
        by=owner, reinforcement=kind, name="Skiff 3", length_mm=2_000, width_mm=800, count=2, may_turn=False
    )


@pytest.mark.parametrize(("days_after", "fits"), [(-1, False), (0, True)])
def test_roll_that_ends_before_the_day_of_cutting_is_not_set_aside(job, roll, owner, days_after, fits):
    plan = planned(job, owner)
    use_by = job.cut_on + datetime.timedelta(days=days_after)
    ledger.set_use_by(roll=roll, use_by=use_by)
    if fits:
        assert confirm_plan(plan=plan, by=owner, at=NOON).state == CuttingPlan.State.CONFIRMED
        return
    with pytest.raises(StalePlan, match=f"Roll {roll.code} ends on {use_by}; it is to be cut on {job.cut_on}."):
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert SetAside.objects.count() == 0


def test_prepreg_taken_out_too_long_before_its_day_is_not_set_aside(job, roll, kind, owner):
    type(kind).objects.filter(pk=kind.pk).update(out_life_h=48)
    plan = planned(job, owner)
    ledger.take_out_of_freezer(roll=roll, by=owner, at=NOON, key=new_key())
    with pytest.raises(StalePlan, match="it is to be cut on"):
        confirm_plan(plan=plan, by=owner, at=NOON)


def free_mm(roll) -> int:
    roll.refresh_from_db()
    return roll.free_mm


def cut_next(roll, by):
    """Cut the next strip, and what is faulty at the free end before it."""
    promise = roll.set_asides.filter(state="open").order_by("number").first()
    roll.refresh_from_db()
    if roll.length_mm == 2_500:
        ledger.record_loss(roll=roll, length_mm=400, by=by, at=NOON, key=new_key(), reason="crease")
        roll.refresh_from_db()
    ledger.record_cut(roll=roll, length_mm=promise.length_mm, by=by, at=NOON, key=new_key(), set_aside=promise)


def test_confirming_sets_the_lengths_aside_with_purpose_and_offcuts(job, roll, owner):
    plan = confirmed(job, owner)
    assert free_mm(roll) == 200
    assert list(roll.set_asides.values_list("purpose", "length_mm", "offcuts")) == [
        ("Skiff 3", 2_000, [{"width_mm": 450, "length_mm": 2_000}]),
        ("Skiff 3", 2_000, [{"width_mm": 450, "length_mm": 2_000}]),
    ]
    assert (plan.state, plan.confirmed_by, plan.confirmed_at) == ("confirmed", owner, NOON)
    assert all(strip.set_aside_id for strip in plan.strips.all())
    job.refresh_from_db()
    assert job.state == Job.State.READY


def test_confirming_twice_sets_aside_once(job, roll, owner):
    plan = planned(job, owner)
    for _ in range(2):
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert (free_mm(roll), SetAside.objects.count()) == (200, 2)


def test_plan_is_refused_when_someone_cut_from_its_roll(job, roll, owner, laminator):
    plan = planned(job, owner)
    ledger.record_cut(roll=roll, length_mm=500, by=laminator, at=NOON, key=new_key())
    with pytest.raises(StalePlan) as refused:
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert refused.value.changes == [f"Roll {roll.code} has changed: it had 4.50 m and has 4.00 m now."]
    assert free_mm(roll) == 3_700


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda roll, by: ledger.set_aside(promises=[ledger.Promise(roll, 70, "Oar")], by=by, at=NOON),
            "0 mm of it was set aside, 70 mm is now",
        ),
        (
            lambda roll, by: ledger.report_fault(
                roll=roll, fault=FoundFault(4_450, 4_500, "wet"), by=by, at=NOON, key=new_key()
            ),
            "its faults are not the same as before",
        ),
        (
            lambda roll, by: ledger.quarantine(roll=roll, reason="oily", by=by, at=NOON, key=new_key()),
            "it is quarantined now (oily)",
        ),
    ],
)
def test_plan_is_refused_after_any_other_change_of_its_roll(job, roll, owner, change, words):
    plan = planned(job, owner)
    change(roll, owner)
    with pytest.raises(StalePlan, match="Roll") as refused:
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert words in str(refused.value)


def test_change_of_a_roll_the_plan_does_not_use_does_not_matter(job, roll, owner, kind):
    spare = make_roll(by=owner, reinforcement=kind, width_mm=300, length_mm=10_000)
    plan = planned(job, owner)
    ledger.record_cut(roll=spare, length_mm=500, by=owner, at=NOON, key=new_key())
    assert confirm_plan(plan=plan, by=owner, at=NOON).state == "confirmed"


def test_two_jobs_planned_on_the_same_cloth_cannot_both_be_confirmed(job, roll, owner, kind):
    other = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=800)
    first, second = planned(job, owner), planned(other, owner)
    confirm_plan(plan=first, by=owner, at=NOON)
    with pytest.raises(StalePlan):
        confirm_plan(plan=second, by=owner, at=NOON)
    second.refresh_from_db()
    assert (second.state, free_mm(roll)) == ("offered", 200)


def test_short_plan_is_confirmed_only_on_purpose(owner, kind, roll):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=3, may_turn=False)
    plan = planned(job, owner)
    with pytest.raises(PlanIsShort):
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert free_mm(roll) == 4_200
    confirm_plan(plan=plan, by=owner, at=NOON, accept_short=True)
    assert free_mm(roll) == 200


def test_plan_of_an_older_lay_up_is_refused(job, owner):
    plan = planned(job, owner)
    drop_offers(job)
    with pytest.raises(PlanGone, match="plan the cutting again"):
        confirm_plan(plan=plan, by=owner, at=NOON)


def test_confirming_a_new_plan_gives_back_the_old_one_first(job, roll, owner):
    first = confirmed(job, owner)
    second = confirmed(job, owner)
    first.refresh_from_db()
    assert (first.state, confirmed_plan(job)) == (CuttingPlan.State.REPLACED, second)
    assert (free_mm(roll), roll.set_asides.filter(state="given_back").count()) == (200, 2)


def test_cancelling_gives_the_lengths_back_and_the_job_is_a_draft_again(job, roll, owner):
    plan = confirmed(job, owner)
    assert cancel_plan(plan=plan, at=NOON) == 2
    plan.refresh_from_db()
    job.refresh_from_db()
    assert (free_mm(roll), plan.state, job.state) == (4_200, "cancelled", "draft")


def test_cancelling_twice_gives_back_once(job, roll, owner):
    plan = confirmed(job, owner)
    assert [cancel_plan(plan=plan, at=NOON), cancel_plan(plan=plan, at=NOON)] == [2, 0]


def test_cancelling_a_half_cut_plan_gives_back_only_what_is_uncut(job, roll, owner, laminator):
    plan = confirmed(job, owner)
    cut_next(roll, laminator)
    assert cancel_plan(plan=plan, at=NOON) == 1
    assert free_mm(roll) == 2_200


def test_cancelling_the_job_gives_the_lengths_back(job, roll, owner):
    confirmed(job, owner)
    assert cancel_job(job=job, at=NOON) == 2
    job.refresh_from_db()
    assert (free_mm(roll), job.state) == (4_200, Job.State.CANCELLED)


def test_job_is_done_when_every_strip_is_cut(job, roll, owner, laminator):
    plan = confirmed(job, owner)
    job.refresh_from_db()
    cut_next(roll, laminator)
    assert not notice_cut(job, plan)
    cut_next(roll, laminator)
    assert notice_cut(job, plan)
    assert Job.objects.get().state == Job.State.DONE


def test_promise_given_back_by_a_recount_shows_in_the_standing_of_the_plan(job, roll, owner):
    plan = confirmed(job, owner)
    ledger.record_recount(roll=roll, length_mm=2_150, by=owner, at=NOON, key=new_key(), reason="tape")
    assert standing_of(plan) == {"open": 1, "given_back": 1}
