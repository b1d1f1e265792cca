"""Writes about plans that several screens make: taking one back, and noticing that a job is cut."""

import datetime
from collections.abc import Iterable

from django.db.models import F

from shopstock import ledger
from shopstock.models import SetAside

from .models import CuttingPlan, Job, PlannedBlank, Ply
from .queries import open_promises, standing_of


def strips(count: int) -> str:
    return "1 strip" if count == 1 else f"{count} strips"


class JobClosed(Exception):
    """A job that is cut or cancelled cannot be planned any more."""


def lock_job(job: Job) -> Job:
    """Take the write lock of a job (a one-row UPDATE, which every database honours) and read it afresh."""
    Job.objects.filter(pk=job.pk).update(state=F("state"))
    return Job.objects.get(pk=job.pk)


def require_planned_work(job: Job) -> None:
    if not job.is_planned_work:
        raise JobClosed(f"{job} is {job.get_state_display()}: it cannot be changed. Write a new job.")


def drop_offers(job: Job) -> None:
    """Plans on offer no longer fit once the lay-up changes."""
    job.plans.filter(state=CuttingPlan.State.OFFERED).update(state=CuttingPlan.State.CANCELLED)


def give_back_plan(plan: CuttingPlan, *, state: str, at: datetime.datetime) -> int:
    """Give back what is still set aside for a plan and close it; returns how many strips that were."""
    given_back = ledger.give_back(set_asides=list(open_promises(plan)), at=at)
    CuttingPlan.objects.filter(pk=plan.pk).update(state=state)
    return given_back


def forget_old_plans(plies: Iterable[Ply]) -> None:
    """Plans that were never cut let go of their blanks, so that a ply can be taken out."""
    PlannedBlank.objects.filter(ply__in=plies).exclude(strip__plan__state=CuttingPlan.State.CONFIRMED).delete()
    PlannedBlank.objects.filter(ply__in=plies, strip__set_aside__state=SetAside.State.GIVEN_BACK).delete()


def notice_cut(job: Job, plan: CuttingPlan | None) -> bool:
    """A job whose every strip is cut, with nothing short, is done; noticed when somebody looks."""
    if job.state != Job.State.READY or plan is None or plan.is_short:
        return False
    standing = standing_of(plan)
    if not standing or set(standing) != {SetAside.State.CUT}:
        return False
    job.state = Job.State.DONE
    return bool(Job.objects.filter(pk=job.pk, state=Job.State.READY).update(state=Job.State.DONE))
