"""A job that is only imagined: the lay-up of another, so many times, on a day. Nothing of it is written."""

import copy
import datetime
from collections import Counter
from collections.abc import Sequence

from shopstock.demand import ResinNeed

from . import demand
from .models import Job
from .queries import with_lay_up
from .resin_need import resin_of_job
from .work import Work

NO_ROW = -1  # its key; rows of the database count from 1


def imagine(like: Job, *, times: int, cut_on: datetime.date, name: str) -> Job:
    """Each part of the other is made `times` as often; the job comes with its lay-up loaded."""
    job = with_lay_up(Job.objects.all()).get(pk=like.pk)
    for part in job.parts.all():  # loaded with the job, so these are the parts that everybody sees who asks it
        part.count *= times
    job.pk, job.name, job.cut_on, job.chance_percent = NO_ROW, name, cut_on, None
    job.gelcoat_area_m2 *= times
    return job


def on_day(job: Job, day: datetime.date) -> Job:
    other = copy.copy(job)
    other.cut_on = day
    return other


def work_with(job: Job, work: Sequence[Work]) -> list[Work]:
    """It takes its place by its day, behind jobs of the same day."""
    place = next((number for number, item in enumerate(work) if item.job.cut_on > job.cut_on), len(work))
    return [*work[:place], Work(job, Counter(), {}), *work[place:]]


def resin_for(job: Job) -> list[ResinNeed]:
    return demand.in_parts([job], lambda one, shop: resin_of_job(one, shop).needs(one))
