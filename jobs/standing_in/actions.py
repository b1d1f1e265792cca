import datetime
from collections.abc import Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F

from jobs.calc.stand_in import compare
from jobs.designers import StandInRefused, note_designer
from jobs.laid_plies import materials_for, resin_kind
from jobs.lay_up_sheet import methods_named
from jobs.lay_up_text import LaidFabric, written
from jobs.models import Job, Ply, StandIn
from jobs.plans import drop_offers, forget_old_plans, leave_plan, lock_job, require_planned_work
from jobs.queries import confirmed_plan, part_is_cut_into
from shopstock.models import Shop

from .stack_cloth import cloth_of_stack
from .target import Target, target_of

SET_ASIDE_FOR_RENUMBERING = 10_000


@transaction.atomic
def choose_stand_in(
    *,
    target: Target,
    plies: Sequence[LaidFabric],
    shown: str,
    tolerance: float,
    limit: float,
    why: str,
    designer: str,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> StandIn:
    """Lay other plies instead and record the decision; what a confirmed plan holds for the job is given back.

    `shown` is the specification as the person saw it: when it has changed meanwhile, nothing is done. Raises
    StandInRefused, JobClosed, and REFUSALS where there are no figures.
    """
    job = lock_job(target.job)
    require_planned_work(job)
    target = target_of(target.part.pk, [ply.pk for ply in target.replaced])
    if written(target.specified) != shown:
        raise StandInRefused("The lay-up has changed since this page was shown. Open the job and look again.")
    if part_is_cut_into(target.part):
        raise StandInRefused(f"Pieces of {target.part} are cut already. Add a new part for what changed.")
    cloth = cloth_of_stack(target, plies, Shop.current(), at)
    if cloth.why_not:
        raise StandInRefused(f"It cannot be laid now. {cloth.why_not}. Look at the stand-ins again.")
    decision = _decision(target, plies, tolerance, limit, why, by, at)
    decision.other_ratios |= cloth.figures
    if designer:
        note_designer(decision, designer, by=by, at=at)
    decision.save()
    plan = confirmed_plan(job)
    if plan is not None:
        leave_plan(plan, job, at=at)
        Job.objects.filter(pk=job.pk, state=Job.State.READY).update(state=Job.State.DRAFT)
    drop_offers(job, at=at)
    _lay(target, plies)
    return decision


def _decision(
    target: Target,
    plies: Sequence[LaidFabric],
    tolerance: float,
    limit: float,
    why: str,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> StandIn:
    gap = target.gap
    laid = target.laid(plies)
    materials = materials_for(resin_kind(target.job))
    found = compare(gap.filled(laid), gap.specified, materials, tolerance=tolerance, limit=limit)
    return StandIn(
        job=target.job,
        part=target.part,
        part_name=target.part.name,
        specified=[
            _said(ply.reinforcement.name, ply.direction, one.fraction, ply.number)
            for ply, one in zip(target.replaced, gap.replaced, strict=True)
        ],
        chosen=[_said(ply.fabric.name, ply.direction, one.fraction) for ply, one in zip(plies, laid, strict=True)],
        grade=found.grade,
        ratios=found.ratios,
        other_ratios=found.other_ratios,
        reasons=list(found.reasons),
        methods=methods_named(found.strength_method),
        tolerance=tolerance,
        limit=limit,
        why=why,
        by=by,
        at=at,
    )


def _said(fabric: str, direction: str, fraction: float, number: int | None = None) -> dict:
    said = {"fabric": fabric, "direction": direction, "fibre_mass_fraction": fraction}
    return said if number is None else {"number": number, **said}


def _lay(target: Target, plies: Sequence[LaidFabric]) -> None:
    """The replaced plies give way to the new ones; old rows are kept where there are any, so that history holds."""
    part = target.part
    sizes = [_size(pattern) for pattern in target.patterns(len(plies))]
    before = [ply for ply in target.plies if ply.number < target.replaced[0].number]
    after = [ply for ply in target.plies if ply.number > target.replaced[-1].number]
    spare = list(target.replaced)
    Ply.objects.filter(part=part).update(number=F("number") + SET_ASIDE_FOR_RENUMBERING)
    rows = [spare.pop(0) if spare else Ply(part=part) for _ in plies]
    one_for_one = len(plies) == len(target.replaced)
    new = [_laid_row(*one, keep_share=one_for_one) for one in zip(rows, plies, sizes, strict=True)]
    for leftover in spare:
        forget_old_plans([leftover])
        leftover.delete()
    for number, row in enumerate([*before, *new, *after], start=1):
        row.number = number
        row.save()


def _size(pattern: Ply) -> dict:
    names = ("length_mm", "width_mm", "count", "may_turn", "may_seam", "overlap_mm", "outline")
    return {name: getattr(pattern, name) for name in names}


def _laid_row(row: Ply, laid: LaidFabric, size: dict, *, keep_share: bool) -> Ply:
    """Where plies give way one for one, a ply that stays as it was keeps the fibre share it was given."""
    if not keep_share or (row.reinforcement_id, row.direction) != (laid.fabric.pk, laid.direction):
        row.fibre_mass_fraction = None
    row.reinforcement, row.direction = laid.fabric, laid.direction
    for name, value in size.items():
        setattr(row, name, value)
    return row
