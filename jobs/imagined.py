"""A job that is only imagined: the lay-up of another, so many times, on a day. Nothing of it is written."""

import copy
import datetime
from collections import Counter
from collections.abc import Sequence

from shopstock.arrivals import cloth_on_its_way
from shopstock.demand import ClothUse, ResinNeed
from shopstock.wanted import Wanted

from . import demand
from .models import Job
from .planning import reinforcements_of
from .resin_need import resin_of_job
from .work import Work, work_to_do

NO_ROW = -1  # its key; rows of the database count from 1


def imagine(like: Job, *, times: int, cut_on: datetime.date, name: str) -> Job:
    """`like` has its lay-up loaded; each of its parts is made `times` as often."""
    job = copy.copy(like)
    job.pk, job.name, job.cut_on, job.chance_percent = NO_ROW, name, cut_on, None
    job.gelcoat_area_m2 = like.gelcoat_area_m2 * times
    parts = []
    for part in like.parts.all():
        more = copy.copy(part)
        more.count = part.count * times
        parts.append(more)
    loaded = like.parts.all()._chain()
    loaded._result_cache, loaded._prefetch_done = parts, True
    job._prefetched_objects_cache = like._prefetched_objects_cache | {"parts": loaded}
    return job


def work_with(job: Job, work: Sequence[Work]) -> list[Work]:
    """It takes its place by its day, behind jobs of the same day."""
    place = next((number for number, item in enumerate(work) if item.job.cut_on > job.cut_on), len(work))
    return [*work[:place], Work(job, Counter(), {}), *work[place:]]


def resin_for(job: Job) -> list[ResinNeed]:
    return demand.in_parts([job], lambda one, shop: resin_of_job(one, shop).needs(one))


def wanted_with(job: Job, on: datetime.date) -> Wanted:
    """What all jobs want of the storeroom if this one were taken."""
    work, coming = work_with(job, work_to_do()), cloth_on_its_way(on)
    uses, now = demand.uses_of(work, coming, on), Wanted.now(on)
    changed = {pk for pk in reinforcements_of([job]) if _short_of(pk, uses) != _short_of(pk, now.uses)}
    same = [row for row in now.shortages if row.reinforcement_id not in changed]
    resin = sorted([*demand.resin_needs(on), *resin_for(job)], key=lambda need: need.needed_on)
    shortages = [*same, *demand.shortages_of(work, coming, on, changed)] if changed else same
    return Wanted(shortages, uses, resin, demand.quoted_resin(on))


def _short_of(reinforcement_id: int, uses: Sequence[ClothUse]) -> int:
    """In mm and pieces, by first fit: where it is the same as before, so is what the planner says."""
    planned = (use for use in uses if use.reinforcement_id == reinforcement_id and not use.is_quoted)
    return sum(use.new_mm + use.missing for use in planned)
