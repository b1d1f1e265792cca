"""The rows of a plan: strips, blanks and what is said of each reinforcement, written again when bettered."""

from collections.abc import Iterator, Mapping, Sequence

from jobs.calc.cutting import PlacedBlank

from .laying import LaidStrip
from .material_rows import material_row
from .models import CuttingPlan, PlannedBlank, PlannedStrip
from .pieces import Piece
from .question import MaterialPlan
from .stock_seen import seen


def write_material(plan: CuttingPlan, material: MaterialPlan) -> None:
    """Put one reinforcement into the plan, in place of what it has of it; the caller saves the plan itself."""
    kind = material.reinforcement.pk
    PlannedStrip.objects.filter(plan=plan, roll__reinforcement=kind).delete()
    plan.materials = _with_row(plan.materials, material_row(material))
    rolls = {str(item.roll.pk) for item in material.cloth}
    kept = {pk: roll for pk, roll in plan.stock_seen.items() if pk not in rolls}
    plan.stock_seen = kept | {str(strip.cloth.roll.pk): seen(strip.cloth) for strip in material.strips}
    _write_strips(plan, material)


def _with_row(rows: Sequence[dict], row: dict) -> list[dict]:
    places = [old["reinforcement"] for old in rows]
    if row["reinforcement"] not in places:
        return [*rows, row]
    return [row if old["reinforcement"] == row["reinforcement"] else old for old in rows]


def _write_strips(plan: CuttingPlan, material: MaterialPlan) -> None:
    strips = PlannedStrip.objects.bulk_create(_strip_row(plan, strip) for strip in material.strips)
    pieces = material.pieces_by_id
    PlannedBlank.objects.bulk_create(
        PlannedBlank(
            strip=row,
            ply_id=pieces[blank.id].ply_id,
            name=pieces[blank.id].name,
            x_mm=blank.x_mm,
            y_mm=blank.y_mm,
            across_mm=blank.across_mm,
            along_mm=blank.along_mm,
            turned=blank.turned,
            outline=outline,
        )
        for row, strip in zip(strips, material.strips, strict=True)
        for blank, outline in _with_outlines(strip, pieces)
    )


def _with_outlines(strip: LaidStrip, pieces: Mapping[str, Piece]) -> Iterator[tuple[PlacedBlank, list]]:
    """Each blank with its outline: where it was nested, or as it lies in its rectangle."""
    nested = strip.outlines or [None] * len(strip.blanks)
    for blank, outline in zip(strip.blanks, nested, strict=True):
        yield blank, list(pieces[blank.id].outline_as_laid(blank.turned) if outline is None else outline)


def _strip_row(plan: CuttingPlan, strip: LaidStrip) -> PlannedStrip:
    return PlannedStrip(
        plan=plan, roll=strip.cloth.roll, number=strip.number, from_mm=strip.from_mm, length_mm=strip.length_mm
    )
