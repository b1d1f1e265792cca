"""Planned work with what of it is cut or set aside already, read for all jobs together."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from django.db.models import Count, Q

from jobs.calc.precedence import in_order
from shopstock.models import SetAside

from .models import CuttingPlan, Job, PlannedBlank, PlannedStrip
from .pieces import LayUp, lay_up_of, size_key, without
from .plans import notice_cut
from .queries import planned_work, standing_precedences


@dataclass(frozen=True)
class Work:
    """A job, what of it is cut or set aside already, and the widths its begun panels were made for."""

    job: Job
    there: Counter
    widths_mm: dict[int, int]

    def wanted(self, widths_mm: dict[int, int]) -> LayUp:
        lay_up = lay_up_of(self.job, widths_mm | self.widths_mm)
        return replace(lay_up, pieces=without(lay_up.pieces, self.there))

    @property
    def kinds(self) -> set[int]:
        """The reinforcements of its plies."""
        return {ply.reinforcement_id for part in self.job.parts.all() for ply in part.plies.all()}


def jobs_to_do() -> list[Job]:
    """Planned work in the order it gets cloth, those just noticed as cut left out."""
    jobs = by_decision(planned_work())
    plans = _confirmed_plans(jobs)
    all_cut = _plans_all_cut(plans.values())
    return [job for job in jobs if not (plans.get(job.pk) in all_cut and notice_cut(job, plans[job.pk]))]


def by_decision(jobs: Iterable[Job]) -> list[Job]:
    """Jobs by their day, but for decisions that one goes before another."""
    by_pk = {job.pk: job for job in jobs}
    before = list(standing_precedences().values_list("first_id", "then_id"))
    return [by_pk[pk] for pk in in_order(list(by_pk), before)]


def _confirmed_plans(jobs: Sequence[Job]) -> dict[int, CuttingPlan]:
    """By job; a plan may be of several."""
    confirmed = CuttingPlan.objects.filter(state=CuttingPlan.State.CONFIRMED)
    plans = confirmed.filter(Q(job__in=jobs) | Q(also__in=jobs)).distinct().prefetch_related("also")
    return {pk: plan for plan in plans for pk in (plan.job_id, *(job.pk for job in plan.also.all()))}


def _plans_all_cut(plans: Iterable[CuttingPlan]) -> list[CuttingPlan]:
    """Those with strips, none of them left to cut."""
    states: dict[int, set[str]] = defaultdict(set)
    strips = PlannedStrip.objects.filter(plan__in=list(plans)).order_by()
    for plan_id, state in strips.values_list("plan_id", "set_aside__state").distinct():
        states[plan_id].add(state)
    return [plan for plan in plans if states[plan.pk] == {SetAside.State.CUT}]


def work_to_do() -> list[Work]:
    return work_of(jobs_to_do())


def work_of(jobs: Sequence[Job]) -> list[Work]:
    there, widths = _cut_or_promised(jobs), _cut_widths_mm(jobs)
    return [Work(job, there[job.pk], widths[job.pk]) for job in jobs]


def _cut_or_promised(jobs: Sequence[Job]) -> dict[int, Counter]:
    """For each job how many pieces of each ply and size are cut or set aside."""
    states = [SetAside.State.CUT, SetAside.State.OPEN]
    blanks = PlannedBlank.objects.filter(ply__part__job__in=jobs, strip__set_aside__state__in=states).order_by()
    found: dict[int, Counter] = defaultdict(Counter)
    rows = blanks.values_list("ply__part__job_id", "ply_id", "across_mm", "along_mm").annotate(pieces=Count("pk"))
    for job_id, ply_id, across_mm, along_mm, pieces in rows:
        found[job_id][ply_id, size_key(across_mm, along_mm)] += pieces
    return found


def _cut_widths_mm(jobs: Sequence[Job]) -> dict[int, dict[int, int]]:
    """For reinforcements that a job has begun to cut: the usable width its panels were made for."""
    cut = PlannedBlank.objects.filter(ply__part__job__in=jobs, strip__set_aside__state=SetAside.State.CUT)
    columns = ("ply__part__job_id", "strip__plan_id", "strip__roll__reinforcement_id")
    kinds = set(cut.order_by().values_list(*columns).distinct())
    plans = CuttingPlan.objects.in_bulk({plan_id for _, plan_id, _ in kinds})
    widths: dict[int, dict[int, int]] = defaultdict(dict)
    for job_id, plan_id, kind in sorted(kinds):
        rows = {row["reinforcement"]: row for row in plans[plan_id].materials}
        if kind in rows:
            widths[job_id][kind] = rows[kind]["cut_width_mm"]
    return widths
