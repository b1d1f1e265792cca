"""What may go into a job: in date on the day of cutting, and of the lots that the job allows."""

import datetime

import pytest
from django.urls import reverse

from jobs.job_cloth import cloth_for, day_of_cutting
from jobs.models import Job
from jobs.plan_search import questions_of
from jobs.queries import lots_begun, with_lay_up
from jobs.standing_in.search import find_stand_ins
from jobs.standing_in.target import target_of
from shopstock import ledger
from shopstock.models import OutSpell, Roll, SetAside, Shop
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, new_key
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


def test_search_for_a_better_plan_stays_with_its_lot(owner, one_lot, kind):
    plan = planned(one_lot, owner)
    roll(owner, kind, "A", length_mm=20_000)
    assert {item.roll.lot for item in questions_of(plan)[kind.pk].cloth} == {"B"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"use_by": TODAY}, "1 roll past its date on the day of cutting"),
        ({"condition": "quarantined"}, "1 roll quarantined"),
        ({"grade": "non_structural"}, "1 roll for non-structural parts only"),
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


def test_lots_are_not_changed_while_cloth_is_set_aside(client, owner, job, kind):
    roll(owner, kind, "L1")
    confirmed(job, owner)
    client.force_login(owner)
    page = client.get(reverse("job-edit", args=[job.pk]))
    typed = {name: value for name, value in page.context["form"].initial.items() if value is not None}
    answer = client.post(reverse("job-edit", args=[job.pk]), typed | {"lot_rule": "one"})
    assert answer.context["form"].non_field_errors() == [
        "Cloth is set aside for this job. Cancel its cutting plan first, then change the lots."
    ]
    job.refresh_from_db()
    assert job.lot_rule == Job.LotRule.ANY
