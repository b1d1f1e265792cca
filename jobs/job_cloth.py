"""The cloth that may go into jobs: free on the racks, in date on the day of cutting, of the lots that they allow."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence

from django.utils import timezone

from shopstock.models import Shop

from .free_cloth import FreeCloth, free_cloth
from .models import Job

# More than the bare area of the plies, for seams and for what is left beside the pieces; a shop's figure, no source.
ROOM = 1.3


def day_of_cutting(jobs: Iterable[Job], at: datetime.datetime) -> datetime.date:
    """The last day on which cloth of these jobs is cut, today at the earliest."""
    return max([timezone.localdate(at), *(job.cut_on for job in jobs)])


def lot_rule(jobs: Iterable[Job]) -> str:
    """The strictest of the jobs'."""
    asked = {job.lot_rule for job in jobs}
    return next((rule for rule in (Job.LotRule.ONE, Job.LotRule.KNOWN) if rule in asked), Job.LotRule.ANY)


def carry_no_load(jobs: Iterable[Job]) -> bool:
    """Whether cloth for non-structural parts may be used: one job that carries load keeps it out of a shared plan."""
    return all(job.is_non_structural for job in jobs)


def cloth_for(
    jobs: Sequence[Job],
    reinforcement_ids: Collection[int],
    shop: Shop,
    *,
    at: datetime.datetime,
    as_if_given_back: Collection[int] = (),
    lots: Mapping[int, Collection[str]] | None = None,
) -> dict[int, list[FreeCloth]]:
    """By reinforcement, oldest roll first; jobs have their lay-ups loaded.

    Where they ask for one lot, `lots` names those that they were begun with, by reinforcement; else it is the oldest
    that is large enough.
    """
    cut_on = day_of_cutting(jobs, at)
    cloth = free_cloth(
        reinforcement_ids,
        shop,
        at=at,
        cut_on=cut_on,
        as_if_given_back=as_if_given_back,
        non_structural=carry_no_load(jobs),
    )
    rule = lot_rule(jobs)
    if rule == Job.LotRule.ANY:
        return cloth
    known = {pk: [item for item in items if item.roll.lot] for pk, items in cloth.items()}
    if rule == Job.LotRule.KNOWN:
        return known
    needed_mm2, begun = _needed_mm2(jobs), lots or {}
    return {pk: _of_one_lot(items, begun.get(pk, ()), needed_mm2.get(pk)) for pk, items in known.items()}


def _needed_mm2(jobs: Iterable[Job]) -> dict[int, int]:
    """Area of the plies as they are moulded, by reinforcement."""
    needed: dict[int, int] = {}
    for job in jobs:
        for part in job.parts.all():
            for ply in part.plies.all():
                area_mm2 = ply.length_mm * ply.width_mm * ply.count * part.count
                needed[ply.reinforcement_id] = needed.get(ply.reinforcement_id, 0) + area_mm2
    return needed


def _of_one_lot(cloth: Sequence[FreeCloth], begun: Collection[str], needed_mm2: int | None) -> list[FreeCloth]:
    """The lot begun with; else the oldest that gives what is needed with some room, or the largest of all."""
    begun = {lot for lot in begun if lot}
    areas: dict[str, int] = {}
    for item in cloth:
        areas[item.roll.lot] = areas.get(item.roll.lot, 0) + item.clean_mm * item.usable_width_mm
    enough = (lot for lot, area in areas.items() if needed_mm2 is not None and area >= ROOM * needed_mm2)
    chosen = next((lot for lot in areas if lot in begun), None) if begun else next(enough, None)
    if chosen is None and not begun:
        chosen = max(areas, key=areas.__getitem__, default=None)
    return [item for item in cloth if item.roll.lot == chosen]
