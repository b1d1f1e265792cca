from collections.abc import Sequence

from django.db import transaction

from jobs.calc.cutting import MOST_BLANKS
from jobs.calc.outline import Outline
from jobs.models import Job, Part, Ply
from jobs.plans import drop_offers, forget_old_plans, lock_job, require_planned_work
from jobs.queries import confirmed_plan, most_pieces, part_is_cut_into, standing_of
from shopstock.models import SetAside

from .ply_file import PlyLine


class LayUpFixed(Exception):
    """The lay-up cannot be changed now; the message says what to do first."""


class TooManyPieces(LayUpFixed):
    """More pieces of one reinforcement than one cutting plan takes."""

    field = "count"


def _require_plannable(job: Job) -> None:
    name, pieces = most_pieces(job)
    if pieces > MOST_BLANKS:
        raise TooManyPieces(
            f"That makes {pieces:,} pieces of {name} in this job, and one cutting plan takes {MOST_BLANKS:,} of a "
            "reinforcement. Take fewer, or make two jobs of it."
        )


def _open_for_change(job: Job) -> Job:
    """Lock the job and make sure that no cloth is set aside for the lay-up as it is."""
    job = lock_job(job)
    require_planned_work(job)
    plan = confirmed_plan(job)
    if plan is not None and standing_of(plan).get(SetAside.State.OPEN):
        raise LayUpFixed("Cloth is set aside for this lay-up. Cancel the cutting plan first, then change it.")
    drop_offers(job)
    return job


def _require_uncut(part: Part) -> None:
    if part_is_cut_into(part):
        raise LayUpFixed(f"Pieces of {part} are cut already. Leave it as it is and add a new part for what changed.")


@transaction.atomic
def add_part(*, job: Job, name: str, count: int) -> Part:
    return Part.objects.create(job=_open_for_change(job), name=name, count=count)


@transaction.atomic
def change_part(*, part: Part, name: str, count: int) -> Part:
    _open_for_change(part.job)
    part.name, part.count = name, count
    part.save()
    _require_plannable(part.job)
    return part


@transaction.atomic
def remove_part(*, part: Part) -> None:
    _open_for_change(part.job)
    _require_uncut(part)
    forget_old_plans(part.plies.all())
    part.delete()


@transaction.atomic
def add_ply(*, part: Part, **values) -> Ply:
    _open_for_change(part.job)
    _require_uncut(part)
    ply = Ply.objects.create(part=part, **values)
    _require_plannable(part.job)
    return ply


@transaction.atomic
def change_ply(*, ply: Ply, **values) -> Ply:
    _open_for_change(ply.part.job)
    _require_uncut(ply.part)
    size = ply.length_mm, ply.width_mm
    for name, value in values.items():
        setattr(ply, name, value)
    if (ply.length_mm, ply.width_mm) != size:
        ply.outline = []  # it was drawn for the old size
    ply.save()
    _require_plannable(ply.part.job)
    return ply


@transaction.atomic
def set_outline(*, ply: Ply, outline: Outline | None) -> Ply:
    """Give a ply its outline, and with it its length and width; None makes it the rectangle again."""
    _open_for_change(ply.part.job)
    _require_uncut(ply.part)
    ply.outline = [] if outline is None else [list(corner) for corner in outline.corners]
    if outline is not None:
        ply.length_mm, ply.width_mm = outline.length_mm, outline.width_mm
    ply.save()
    return ply


@transaction.atomic
def remove_ply(*, ply: Ply) -> None:
    _open_for_change(ply.part.job)
    _require_uncut(ply.part)
    forget_old_plans([ply])
    ply.delete()


@transaction.atomic
def write_plies(*, job: Job, lines: Sequence[PlyLine], replace: bool) -> int:
    """Write the plies of a file that was read without error; returns how many."""
    job = _open_for_change(job)
    if replace:
        for part in job.parts.all():
            remove_part(part=part)
    for line in lines:
        part, made = Part.objects.get_or_create(job=job, name=line.part, defaults={"count": line.part_count})
        if not made:
            _require_uncut(part)
        Ply.objects.create(part=part, **line.values)
    _require_plannable(job)
    return len(lines)
