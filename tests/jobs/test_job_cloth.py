"""What may go into a job: in date on the day of cutting, and of the lots that the job allows."""

import datetime

import pytest
from django.urls import reverse

from jobs.cutting.actions import StalePlan, confirm_plan
from jobs.job_cloth import cloth_for, day_of_cutting
from jobs.models import Job
from jobs.plan_making import make_plan
from jobs.plan_search import questions_of
from jobs.queries import lots_begun, with_lay_up
from jobs.standing_in.search import find_stand_ins
from jobs.standing_in.target import target_of
from shopstock import ledger
from shopstock.models import OutSpell, Roll, SetAside, Shop
from tests.factories import NOON, TODAY, make_place, make_reinforcement, make_roll, new_key
from tests.jobs.fabrics import hull_job, make_fabric
from tests.jobs.factories import confirmed, make_ply, planned, simple_job

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def kind(db):
    return make_reinforcement("Roving 600", width_mm=1_250)


@pytest.fixture
def job(owner, kind) -> Job:
    """One ply of 2.00 m × 1.00 m, cut in a week."""
    return simple_job(by=owner, reinforcement=kind, may_turn=False)


def rolls_for(job: Job, kind, at=NOON) -> list[str]:
    jobs = list(with_lay_up(Job.objects.filter(pk=job.pk)))
    return [item.roll.lot for item in cloth_for(jobs, [kind.pk], Shop.current(), at=at)[kind.pk]]


def roll(owner, kind, lot: str, *, length_mm: int = 10_000, **changes) -> Roll:
    made = make_roll(by=owner, reinforcement=kind, lot=lot, length_mm=length_mm)
    Roll.objects.filter(pk=made.pk).update(**changes)
    return made


def test_day_of_cutting_is_the_jobs_or_today_when_that_has_gone_by(job):
    assert day_of_cutting([job], NOON) == job.cut_on
    assert day_of_cutting([job], NOON + 30 * DAY) == TODAY + 30 * DAY


def test_cloth_that_ends_before_the_day_of_cutting_is_not_planned_on(owner, job, kind):
    roll(owner, kind, "ends before", use_by=job.cut_on - DAY)
    roll(owner, kind, "ends that day", use_by=job.cut_on)
    assert rolls_for(job, kind) == ["ends that day"]
    plan = planned(job, owner)
    assert {strip.roll.lot for strip in plan.strips.all()} == {"ends that day"}


def test_offcut_ends_with_the_roll_it_came_from(owner, job, kind):
    parent = roll(owner, kind, "L1")
    offcut = ledger.record_offcut(parent=parent, width_mm=1_250, length_mm=3_000, by=owner, at=NOON, key=new_key())
    Roll.objects.filter(pk=parent.pk).update(use_by=TODAY)
    Roll.objects.filter(pk=offcut.pk).update(use_by=None)
    assert rolls_for(job, kind) == []


def test_prepreg_out_of_time_is_not_planned_on(owner):
    prepreg = make_reinforcement("Prepreg 200", fibre="carbon", out_life_h=24, thaw_h=6)
    job = simple_job(by=owner, reinforcement=prepreg)
    OutSpell.objects.create(roll=roll(owner, prepreg, "out"), out_at=NOON, out_by=owner)
    roll(owner, prepreg, "frozen")
    assert rolls_for(job, prepreg) == ["frozen"]


def test_job_of_known_lots_takes_no_cloth_without_one(owner, job, kind):
    roll(owner, kind, "")
    roll(owner, kind, "L2")
    assert rolls_for(job, kind) == ["", "L2"]
    job.lot_rule = Job.LotRule.KNOWN
    job.save()
    assert rolls_for(job, kind) == ["L2"]


@pytest.fixture
def one_lot(owner, job, kind) -> Job:
    """Two plies more, which the oldest lot is too short for; then lot B is large enough, C larger still."""
    job.lot_rule = Job.LotRule.ONE
    job.save()
    for _ in range(2):
        make_ply(job.parts.get(), kind)
    for lot, length_mm in (("A", 3_000), ("B", 10_000), ("C", 20_000), ("A", 3_000)):
        roll(owner, kind, lot, length_mm=length_mm)
    return job


def test_job_of_one_lot_takes_the_oldest_that_is_large_enough(owner, one_lot, kind):
    assert rolls_for(one_lot, kind) == ["B"]
    plan = planned(one_lot, owner)
    assert {strip.roll.lot for strip in plan.strips.all()} == {"B"}
    assert not plan.is_short


def test_job_of_one_lot_takes_the_largest_when_none_is_large_enough(owner, one_lot, kind):
    Roll.objects.filter(lot__in="BC").update(condition=Roll.Condition.QUARANTINED)
    assert rolls_for(one_lot, kind) == ["A", "A"]


def test_job_of_one_lot_goes_on_with_the_lot_it_was_begun_with(owner, one_lot, kind):
    confirmed(one_lot, owner)
    promise = SetAside.objects.first()
    ledger.record_cut(
        roll=promise.roll, length_mm=promise.length_mm, set_aside=promise, by=owner, at=NOON, key=new_key()
    )
    roll(owner, kind, "A", length_mm=20_000)
    jobs = list(with_lay_up(Job.objects.filter(pk=one_lot.pk)))
    found = cloth_for(jobs, [kind.pk], Shop.current(), at=NOON, lots=lots_begun(jobs))
    assert {item.roll.lot for item in found[kind.pk]} == {"B"}
    make_ply(one_lot.parts.get(), kind)
    assert {strip.roll.lot for strip in planned(one_lot, owner).strips.all()} == {"B"}


def test_cloth_of_no_known_lot_that_was_cut_before_ties_a_job_to_none(owner, one_lot, kind):
    jobs = list(with_lay_up(Job.objects.filter(pk=one_lot.pk)))
    found = cloth_for(jobs, [kind.pk], Shop.current(), at=NOON, lots={kind.pk: {""}})
    assert {item.roll.lot for item in found[kind.pk]} == {"B"}


def test_plan_says_which_lots_its_cloth_may_come_from(client, owner, one_lot):
    client.force_login(owner)
    page = client.get(planned(one_lot, owner).get_absolute_url()).content.decode()
    assert f"Cloth for {one_lot}: one known lot of each fabric." in page


def test_search_for_a_better_plan_stays_with_its_lot(owner, one_lot, kind):
    plan = planned(one_lot, owner)
    roll(owner, kind, "A", length_mm=20_000)
    assert {item.roll.lot for item in questions_of(plan)[kind.pk].cloth} == {"B"}


@pytest.fixture
def downgraded(owner, kind) -> Roll:
    return roll(owner, kind, "folded", grade=Roll.Grade.NON_STRUCTURAL)


def test_downgraded_cloth_goes_into_non_structural_jobs_alone(owner, job, kind, downgraded):
    roll(owner, kind, "sound")
    assert rolls_for(job, kind) == ["sound"]
    job.is_non_structural = True
    job.save()
    assert rolls_for(job, kind) == ["folded", "sound"]


def test_downgraded_cloth_is_planned_on_before_sound_cloth(owner, job, kind):
    roll(owner, kind, "sound")
    roll(owner, kind, "folded", grade=Roll.Grade.NON_STRUCTURAL)
    job.is_non_structural = True
    job.save()
    plan = planned(job, owner)
    assert {strip.roll.lot for strip in plan.strips.all()} == {"folded"}
    assert {item.roll.lot for item in questions_of(plan)[kind.pk].cloth} == {"folded", "sound"}


def test_job_that_carries_load_keeps_downgraded_cloth_out_of_a_shared_plan(owner, job, kind, downgraded):
    trim = simple_job(by=owner, reinforcement=kind)
    trim.is_non_structural = True
    trim.save()
    plan = make_plan(job=job, also=[trim], by=owner, at=NOON)
    assert (plan.strips.count(), plan.is_short) == (0, True)


def test_plan_on_offer_is_refused_once_its_roll_is_downgraded(owner, job, kind):
    sound = roll(owner, kind, "L1")
    plan = planned(job, owner)
    decision = {"decision": ledger.FoldDecision.DOWNGRADED, "lying": "flat", "note": ""}
    ledger.decide_fold(roll=sound, by=owner, at=NOON, key=new_key(), **decision)
    with pytest.raises(StalePlan, match="it is for non-structural parts only now"):
        confirm_plan(plan=plan, by=owner, at=NOON)


def test_plan_on_offer_is_refused_once_its_roll_lies_folded(owner, job, kind):
    sound = roll(owner, kind, "L1")
    plan = planned(job, owner)
    ledger.move_roll(roll=sound, place=make_place(), lying="folded", by=owner, at=NOON, key=new_key())
    with pytest.raises(StalePlan, match="it lies folded now"):
        confirm_plan(plan=plan, by=owner, at=NOON)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"use_by": TODAY}, "1 roll past its date on the day of cutting"),
        ({"condition": "quarantined"}, "1 roll quarantined"),
        ({"grade": "non_structural"}, "1 roll for non-structural parts only"),
        ({"lying": "folded"}, "1 roll lying folded, undecided"),
        ({"lot": ""}, "1 roll of no known lot"),
    ],
)
def test_stand_in_whose_cloth_may_not_be_used_is_held_back_with_the_reason(owner, changes, words):
    job, part = hull_job(owner, lot_rule=Job.LotRule.KNOWN)
    make_fabric("cross 600", "cross", 600, by=owner)
    Roll.objects.filter(reinforcement__name="cross 600").update(**changes)
    target = target_of(part.pk, [part.plies.get(number=2).pk])
    found = find_stand_ins(target, Shop.current(), at=NOON, tolerance=0.05, limit=0.15)
    assert dict(found.gated)["cross 600"] == f"nothing usable is free on the racks: {words}"


def edited(client, job: Job, **changes):
    page = client.get(reverse("job-edit", args=[job.pk]))
    shown = page.context["form"].initial
    typed = {name: value for name, value in shown.items() if value is not None and name != "is_non_structural"}
    return client.post(reverse("job-edit", args=[job.pk]), typed | changes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [({"lot_rule": "one"}, "the lots"), ({"is_non_structural": "on"}, "whether it carries load")],
)
def test_cloth_of_a_job_is_not_changed_while_some_is_set_aside(client, owner, job, kind, changes, words):
    roll(owner, kind, "L1")
    confirmed(job, owner)
    client.force_login(owner)
    assert edited(client, job, **changes).context["form"].non_field_errors() == [
        f"Cloth is set aside for this job. Cancel its cutting plan first, then change {words}."
    ]
    job.refresh_from_db()
    assert (job.lot_rule, job.is_non_structural) == (Job.LotRule.ANY, False)


def test_job_is_said_to_be_non_structural_on_its_form_page_and_list(client, owner, job, kind, downgraded):
    plan = planned(job, owner)
    client.force_login(owner)
    edited(client, job, is_non_structural="on")
    plan.refresh_from_db()
    assert plan.state == "cancelled"
    assert "non-structural, so that downgraded cloth" in client.get(job.get_absolute_url()).content.decode()
    assert "being written, non-structural" in client.get(reverse("jobs")).content.decode()
    edited(client, job)
    job.refresh_from_db()
    assert not job.is_non_structural


def test_stand_in_of_downgraded_cloth_is_offered_to_a_non_structural_job(owner):
    _, part = hull_job(owner, is_non_structural=True)
    make_fabric("cross 600", "cross", 600, by=owner)
    Roll.objects.filter(reinforcement__name="cross 600").update(grade=Roll.Grade.NON_STRUCTURAL)
    target = target_of(part.pk, [part.plies.get(number=2).pk])
    found = find_stand_ins(target, Shop.current(), at=NOON, tolerance=0.05, limit=0.15)
    assert "cross 600" not in dict(found.gated)
