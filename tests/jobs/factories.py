"""Boring makers of jobs, parts and plies."""

import datetime

from jobs.cutting.actions import confirm_plan
from jobs.models import CuttingPlan, Job, Part, Ply
from jobs.plan_making import make_plan
from tests.factories import NOON, TODAY, make_reinforcement, new_key


def make_job(*, by, name: str | None = None, **fields) -> Job:
    values = {"cut_on": TODAY + datetime.timedelta(days=7), "made_by": by, "made_at": NOON}
    return Job.objects.create(name=name or new_key("Dinghy"), **(values | fields))


def make_part(job: Job, name: str = "Hull", count: int = 1) -> Part:
    return Part.objects.create(job=job, name=name, count=count)


def make_ply(part: Part, reinforcement=None, **fields) -> Ply:
    values = {"number": part.plies.count() + 1, "length_mm": 2_000, "width_mm": 1_000, "direction": "0"}
    kind = reinforcement or make_reinforcement()
    return Ply.objects.create(part=part, reinforcement=kind, **(values | fields))


def simple_job(*, by, reinforcement, name: str | None = None, cut_on=None, **ply) -> Job:
    """A job of one part with one ply."""
    job = make_job(by=by, name=name, **({"cut_on": cut_on} if cut_on else {}))
    make_ply(make_part(job), reinforcement, **ply)
    return job


def planned(job: Job, by) -> CuttingPlan:
    return make_plan(job=job, by=by, at=NOON)


def confirmed(job: Job, by, **extra) -> CuttingPlan:
    return confirm_plan(plan=planned(job, by), by=by, at=NOON, **extra)
