"""Make a cutting plan of one or more jobs as the racks are now and put it on offer; several screens ask for one."""

import datetime
from collections import Counter
from collections.abc import Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import Q

from shopstock.models import Shop

from .job_cloth import cloth_for
from .models import CuttingPlan, Job
from .plan_rows import write_material
from .plan_runs import SECONDS, queue_run, worker_is_there
from .planning import ALL_SECONDS, CannotPlan, JobsToPlan, MaterialPlan, plan_lay_up
from .plans import drop_offers, lock_job, require_planned_work
from .queries import confirmed_plan, cut_pieces, cut_widths_mm, jobs_of, lots_begun, open_promises, with_lay_up
from .question import problem_as_json
from .together import both_ways, told_alone
from .wishes import Wishes

NEST_SECONDS = 2  # for outlines, where nobody is there to search on
FIRST_SECONDS = 0.4  # a correct plan at once, when a worker goes on from there


def make_plan(
    *,
    job: Job,
    by: AbstractBaseUser,
    at: datetime.datetime,
    also: Sequence[Job] = (),
    wishes: Wishes | None = None,
    search_seconds: int = SECONDS,
) -> CuttingPlan:
    """Plan what of the jobs is not cut yet on what is free now, and put the plan on offer.

    With a worker there, the plan is made at once and a search for a better one is queued; without, it is made here.
    """
    jobs = together_with([job, *also])
    for each in jobs:
        require_planned_work(each)
    wanted = wanted_of(jobs)
    if not wanted.kinds:
        raise CannotPlan("There is nothing to cut yet. Add a part and its plies first.")
    shop, searched_later = Shop.current(), worker_is_there(at)
    cloth = cloth_for(jobs, list(wanted.kinds), shop, at=at, as_if_given_back=own_promises(jobs), lots=lots_begun(jobs))
    seconds = FIRST_SECONDS if searched_later else ALL_SECONDS
    nest_seconds = 0 if searched_later else NEST_SECONDS
    materials = plan_lay_up(wanted, cloth, shop, wishes=wishes, seconds=seconds, nest_seconds=nest_seconds)
    alone: dict = {}
    if len(jobs) > 1 and not wishes:
        materials, alone_materials = both_ways(wanted, materials, cloth, shop, seconds=seconds)
        alone = told_alone(alone_materials, seconds)
    materials = [material for material in materials if material.pieces or material.short]
    if not materials:
        raise CannotPlan("Every piece is cut already: there is nothing left to plan.")
    with transaction.atomic():
        plan = _save(jobs, materials, wishes or Wishes(), alone, by=by, at=at)
        if searched_later:
            queue_run(plan, problems=problems_asked(materials), by=by, at=at, seconds=search_seconds)
    return plan


def together_with(jobs: Sequence[Job]) -> list[Job]:
    """These jobs and those that a confirmed plan ties to them, the first to be cut first."""
    found = {job.pk for job in jobs}
    while True:
        plans = CuttingPlan.objects.filter(state=CuttingPlan.State.CONFIRMED)
        tied = plans.filter(Q(job__in=found) | Q(also__in=found)).distinct().prefetch_related("also")
        more = {job.pk for plan in tied for job in plan.also.all()} | {plan.job_id for plan in tied}
        if more <= found:
            return list(with_lay_up(Job.objects.filter(pk__in=found).order_by("cut_on", "pk")))
        found |= more


def wanted_of(jobs: Sequence[Job]) -> JobsToPlan:
    """Jobs with their lay-ups loaded, and what of them is cut."""
    done = sum((cut_pieces(job) for job in jobs), Counter())
    return JobsToPlan(tuple(jobs), done, {job.pk: cut_widths_mm(job) for job in jobs}, several=len(jobs) > 1)


def own_promises(jobs: Sequence[Job]) -> set[int]:
    """What plans confirmed earlier hold, and a new one would give back first."""
    plans = {plan.pk: plan for plan in map(confirmed_plan, jobs) if plan is not None}
    return {pk for plan in plans.values() for pk in open_promises(plan).values_list("pk", flat=True)}


def _save(
    jobs: Sequence[Job],
    materials: Sequence[MaterialPlan],
    wishes: Wishes,
    alone: dict,
    *,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> CuttingPlan:
    for job in sorted(jobs, key=lambda job: job.pk):
        lock_job(job)
    for job in jobs:
        drop_offers(job, at=at, state=CuttingPlan.State.REPLACED)
    plan = CuttingPlan.objects.create(
        job=jobs[0], made_by=by, made_at=at, wishes=wishes.as_json(), alone=alone, materials=[], stock_seen={}
    )
    plan.also.set(jobs[1:])
    for material in materials:
        write_material(plan, material)
    plan.save()
    return plan


def problems_asked(materials: Sequence[MaterialPlan]) -> list[dict]:
    return [
        {"reinforcement": material.reinforcement.pk, "problem": problem_as_json(material.asked)}
        for material in materials
        if material.asked is not None
    ]


def jobs_of_plan(plan: CuttingPlan) -> list[Job]:
    """With their lay-ups, in the order in which the plan has them."""
    return list(with_lay_up(jobs_of(plan)))
