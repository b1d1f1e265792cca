"""Writes about plans that several screens make: taking one back, and noticing that a job is cut."""

import datetime
from collections.abc import Iterable

from django.db.models import F

from shopstock import ledger
from shopstock.models import SetAside

from .models import CuttingPlan, Job, PlannedBlank, Ply
from .plan_runs import cancel_runs
from .queries import jobs_of, open_promises, plans_with, standing_of


def strips(count: int) -> str:
    return "1 strip" if count == 1 else f"{count} strips"


class JobClosed(Exception):
    """A job that is cut or cancelled cannot be planned any more."""


class JobQuoted(Exception):
    """A job that only may come gets no cloth set aside before it is taken on."""


def lock_job(job: Job) -> Job:
    """Take the write lock of a job (a one-row UPDATE, which every database honours) and read it afresh."""
    Job.objects.filter(pk=job.pk).update(state=F("state"))
    return Job.objects.get(pk=job.pk)


def require_planned_work(job: Job) -> None:
    if not job.is_planned_work:
        raise JobClosed(f"{job} is {job.get_state_display()}: it cannot be changed. Write a new job.")


def require_firm(job: Job) -> None:
    if job.is_quoted:
        raise JobQuoted(
            f"{job} is only quoted, {job.chance_percent} % likely: nothing is set aside for it. "
            "Once the customer says yes, say “Taken on” on the page of the job, then confirm."
        )


def drop_offers(
    job: Job, *, at: datetime.datetime | None = None, state: str = CuttingPlan.State.CANCELLED, but: int | None = None
) -> None:
    """Plans on offer no longer fit once the lay-up changes or a newer one is made; nobody searches on for them."""
    offers = list(plans_with(job).filter(state=CuttingPlan.State.OFFERED).exclude(pk=but))
    CuttingPlan.objects.filter(pk__in=[plan.pk for plan in offers]).update(state=state)
    cancel_runs(offers, at=at, reason="the plan does not count any more")


def give_back_plan(plan: CuttingPlan, *, state: str, at: datetime.datetime) -> int:
    """Give back what is still set aside for a plan and close it; returns how many strips that were."""
    given_back = ledger.give_back(set_asides=list(open_promises(plan)), at=at)
    CuttingPlan.objects.filter(pk=plan.pk).update(state=state)
    cancel_runs([plan], at=at, reason="the plan does not count any more")
    return given_back


def leave_plan(plan: CuttingPlan, job: Job, *, at: datetime.datetime) -> int:
    """Take one job out of a confirmed plan; strips that others share stay. Returns strips given back."""
    others = [each for each in jobs_of(plan) if each != job]
    if not others:
        return give_back_plan(plan, state=CuttingPlan.State.CANCELLED, at=at)
    shared = PlannedBlank.objects.filter(strip__plan=plan).exclude(ply__part__job=job).values("strip")
    only_for_job = open_promises(plan).exclude(planned_strip__in=shared).exclude(planned_strip__blanks__isnull=True)
    given_back = ledger.give_back(set_asides=list(only_for_job.distinct()), at=at)
    plan.also.remove(job)
    if plan.job_id == job.pk:
        plan.also.remove(others[0])
        CuttingPlan.objects.filter(pk=plan.pk).update(job=others[0])
    return given_back


def forget_old_plans(plies: Iterable[Ply]) -> None:
    """Plans that were never cut let go of their blanks, so that a ply can be taken out."""
    PlannedBlank.objects.filter(ply__in=plies).exclude(strip__plan__state=CuttingPlan.State.CONFIRMED).delete()
    PlannedBlank.objects.filter(ply__in=plies, strip__set_aside__state=SetAside.State.GIVEN_BACK).delete()


def notice_cut(job: Job, plan: CuttingPlan | None) -> bool:
    """A job whose every strip is cut, with nothing short, is done; noticed when somebody looks."""
    if job.state != Job.State.READY or plan is None or plan.is_short:
        return False
    standing = standing_of(plan, job)
    if not standing or set(standing) != {SetAside.State.CUT}:
        return False
    job.state = Job.State.DONE
    return bool(Job.objects.filter(pk=job.pk, state=Job.State.READY).update(state=Job.State.DONE))
