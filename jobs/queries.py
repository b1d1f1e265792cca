"""Reads of jobs, their lay-ups and plans that several screens share."""

from collections import Counter
from collections.abc import Iterable

from django.db.models import Exists, F, IntegerField, OuterRef, Prefetch, Q, QuerySet, Sum
from django.db.models.functions import Cast

from shopstock.models import SetAside

from .calc.stand_in import NEEDS_DESIGNER
from .models import CuttingPlan, Job, Part, PlannedBlank, PlannedStrip, Ply, Precedence, StandIn
from .pieces import size_key


def with_lay_up(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Jobs with parts, plies, reinforcements and their layers, in a fixed number of queries."""
    plies = Ply.objects.select_related("reinforcement").prefetch_related("reinforcement__layers").order_by("number")
    parts = Part.objects.prefetch_related(Prefetch("plies", plies)).order_by("pk")
    return jobs.select_related("resin", "gelcoat").prefetch_related(Prefetch("parts", parts), "mixes")


def most_pieces(job: Job) -> tuple[str, int]:
    """The reinforcement of which a job has most pieces, and how many; panels of wide plies come on top."""
    # Two small integers multiplied are a small integer to PostgreSQL, which this product may not fit.
    pieces = Sum(Cast("count", IntegerField()) * F("part__count"))
    plies = Ply.objects.filter(part__job=job).order_by().values("reinforcement__name")
    rows = plies.annotate(pieces=pieces).values_list("reinforcement__name", "pieces")
    return max(rows, key=lambda row: row[1], default=("", 0))


def planned_work() -> QuerySet[Job]:
    """Firm jobs neither cut nor cancelled, the first to be cut first; overdue ones count, quoted ones do not."""
    return with_lay_up(_not_done().filter(chance_percent__isnull=True).order_by("cut_on", "pk"))


def quoted_work() -> QuerySet[Job]:
    """Jobs that may come, the first to be cut first."""
    return with_lay_up(_not_done().filter(chance_percent__isnull=False).order_by("cut_on", "pk"))


def _not_done() -> QuerySet[Job]:
    return Job.objects.filter(state__in=[Job.State.DRAFT, Job.State.READY])


def standing_precedences() -> QuerySet[Precedence]:
    """Decisions that one job goes before another, between jobs that are still to be cut."""
    firm = _not_done().filter(chance_percent__isnull=True)
    return Precedence.objects.filter(taken_back_at__isnull=True, first__in=firm, then__in=firm)


def plans_with(job: Job) -> QuerySet[CuttingPlan]:
    """Plans of this job, alone or together with others."""
    return CuttingPlan.objects.filter(Q(job=job) | Q(also=job)).distinct()


def jobs_of(plan: CuttingPlan) -> QuerySet[Job]:
    """Every job of a plan, the first to be cut first."""
    return Job.objects.filter(Q(pk=plan.job_id) | Q(shared_plans=plan)).distinct().order_by("cut_on", "pk")


def confirmed_plan(job: Job) -> CuttingPlan | None:
    return plans_with(job).filter(state=CuttingPlan.State.CONFIRMED).first()


def open_promises(plan: CuttingPlan) -> QuerySet[SetAside]:
    return SetAside.objects.filter(planned_strip__plan=plan, state=SetAside.State.OPEN)


def strips_in_order(plan: CuttingPlan) -> QuerySet[PlannedStrip]:
    """Roll by roll in the order of cutting, with what a cut list says of each."""
    return (
        plan.strips.select_related("roll__reinforcement", "set_aside")
        .prefetch_related(Prefetch("blanks", PlannedBlank.objects.select_related("ply__part__job")))
        .order_by("roll__reinforcement__name", "roll_id", "number")
    )


def blanks_in(job: Job, *states: str) -> QuerySet[PlannedBlank]:
    return PlannedBlank.objects.filter(ply__part__job=job, strip__set_aside__state__in=states)


def counted(blanks: QuerySet[PlannedBlank]) -> Counter:
    """How many pieces of each ply and size; equal panels of a ply stand for one another."""
    rows = blanks.order_by().values_list("ply_id", "across_mm", "along_mm")
    return Counter((ply_id, size_key(across_mm, along_mm)) for ply_id, across_mm, along_mm in rows)


def cut_pieces(job: Job) -> Counter:
    return counted(blanks_in(job, SetAside.State.CUT))


def cut_or_promised_pieces(job: Job) -> Counter:
    return counted(blanks_in(job, SetAside.State.CUT, SetAside.State.OPEN))


def part_is_cut_into(part: Part) -> bool:
    return PlannedBlank.objects.filter(ply__part=part, strip__set_aside__state=SetAside.State.CUT).exists()


def cut_widths_mm(job: Job) -> dict[int, int]:
    """For reinforcements that the job has begun to cut: the usable width its panels were made for."""
    cut = PlannedStrip.objects.filter(blanks__ply__part__job=job, set_aside__state=SetAside.State.CUT)
    kinds = set(cut.order_by().values_list("plan_id", "roll__reinforcement").distinct())
    plans = CuttingPlan.objects.in_bulk([plan_id for plan_id, _ in kinds])
    widths = {}
    for plan_id, kind in sorted(kinds):
        rows = {row["reinforcement"]: row for row in plans[plan_id].materials}
        if kind in rows:
            widths[kind] = rows[kind]["cut_width_mm"]
    return widths


def lots_begun(jobs: Iterable[Job]) -> dict[int, set[str]]:
    """Lots that jobs are cut from already, by reinforcement."""
    cut = PlannedStrip.objects.filter(blanks__ply__part__job__in=jobs, set_aside__state=SetAside.State.CUT)
    return _lots(cut)


def lots_in(plan: CuttingPlan) -> dict[int, set[str]]:
    """Lots that a plan takes, by reinforcement."""
    return _lots(plan.strips.all())


def _lots(strips: QuerySet[PlannedStrip]) -> dict[int, set[str]]:
    found: dict[int, set[str]] = {}
    for kind, lot in strips.order_by().values_list("roll__reinforcement", "roll__lot").distinct():
        found.setdefault(kind, set()).add(lot)
    return found


def standing_of(plan: CuttingPlan, job: Job | None = None) -> Counter:
    """How many strips of a confirmed plan are open, cut and given back; with a job only those with pieces of it."""
    strips = plan.strips.all()
    if job is not None:
        strips = strips.filter(pk__in=PlannedBlank.objects.filter(ply__part__job=job).values("strip"))
    return Counter(strips.values_list("set_aside__state", flat=True))


def waiting_for_designer(job: Job) -> list[StandIn]:
    """Stand-ins laid in a job for which the designer's name is still to be entered."""
    return list(StandIn.objects.filter(job=job, grade__in=NEEDS_DESIGNER, designer=""))


def waits_for_designer() -> Exists:
    """For lists of jobs: whether a stand-in in it waits for the designer's name."""
    return Exists(StandIn.objects.filter(job=OuterRef("pk"), grade__in=NEEDS_DESIGNER, designer=""))
