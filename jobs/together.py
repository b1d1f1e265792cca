"""Several jobs planned together against the same jobs planned one by one, each behind the one before."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from shopstock.models import Shop

from .free_cloth import FreeCloth
from .laying import LaidStrip
from .planning import JobsToPlan, MaterialPlan, plan_lay_up


def behind(cloth: Sequence[FreeCloth], strips: Sequence[LaidStrip]) -> tuple[FreeCloth, ...]:
    """What stays of the cloth when these strips are cut; offcuts are not counted, since they are not made yet."""
    ends: dict[str, int] = {}
    for strip in strips:
        code = strip.cloth.roll.code
        ends[code] = max(ends.get(code, 0), strip.to_mm)
    left = (item.behind(ends.get(item.roll.code, item.start_mm)) for item in cloth)
    return tuple(item for item in left if item.passable)


def one_by_one(
    wanted: JobsToPlan,
    widths_mm: Mapping[int, int],
    cloth: Mapping[int, Sequence[FreeCloth]],
    shop: Shop,
    seconds: float,
) -> list[MaterialPlan]:
    """Each job on what those before it left, its panels made for the same widths; the strips of all put together."""
    left = dict(cloth)
    whole: dict[int, MaterialPlan] = {}
    for job in wanted.jobs:
        kept = {**widths_mm, **wanted.kept_widths_mm.get(job.pk, {})}
        alone = JobsToPlan((job,), wanted.done, {job.pk: kept}, several=len(wanted.jobs) > 1)
        for material in plan_lay_up(alone, left, shop, seconds=seconds / len(wanted.jobs)):
            kind = material.reinforcement.pk
            left[kind] = behind(left[kind], material.strips)
            whole[kind] = _joined(whole[kind], material) if kind in whole else material
    return list(whole.values())


def _joined(first: MaterialPlan, then: MaterialPlan) -> MaterialPlan:
    last = {strip.cloth.roll.code: strip.number for strip in first.strips}
    strips = [replace(strip, number=strip.number + last.get(strip.cloth.roll.code, 0)) for strip in then.strips]
    return replace(
        first,
        pieces=first.pieces + then.pieces,
        strips=first.strips + tuple(strips),
        short=first.short + then.short,
        notes=first.notes + then.notes,
        found=None,
    )


def both_ways(
    wanted: JobsToPlan,
    together: Sequence[MaterialPlan],
    cloth: Mapping[int, Sequence[FreeCloth]],
    shop: Shop,
    *,
    seconds: float,
) -> tuple[list[MaterialPlan], list[MaterialPlan]]:
    """For each reinforcement the better of together and one by one, and what one by one takes."""
    widths_mm = {material.reinforcement.pk: material.width_mm for material in together}
    alone = one_by_one(wanted, widths_mm, cloth, shop, seconds)
    by_kind = {material.reinforcement.pk: material for material in alone}
    return [better(material, by_kind[material.reinforcement.pk]) for material in together], alone


def better(together: MaterialPlan, alone: MaterialPlan) -> MaterialPlan:
    """The strips of the jobs one by one are a plan of them together too; its bound is the one of the whole."""
    if alone.merit >= together.merit or together.found is None:
        return together
    cloth_mm2 = sum(strip.length_mm * strip.cloth.usable_width_mm for strip in alone.strips)
    bound_mm2 = together.found.bound_mm2
    gap = cloth_mm2 / bound_mm2 - 1 if bound_mm2 and not alone.short else None
    found = replace(together.found, cloth_mm2=cloth_mm2, gap=gap, proved=gap is not None and gap <= 0)
    by_strip = {(strip.cloth.roll.pk, strip.number): strip for strip in alone.strips}
    whole_cloth = {item.roll.pk: item for item in together.cloth}
    strips = tuple(replace(strip, cloth=whole_cloth[strip.cloth.roll.pk]) for strip in by_strip.values())
    return replace(together, strips=strips, short=alone.short, found=found)


def told_alone(materials: Sequence[MaterialPlan], seconds: float) -> dict:
    """What one by one takes, as plain data to keep with the plan."""
    return {
        "cut_off_mm2": {str(m.reinforcement.pk): sum(strip.cut_off_mm2 for strip in m.strips) for m in materials},
        "pieces_short": sum(line.pieces for material in materials for line in material.short),
        "seconds": seconds,
    }
