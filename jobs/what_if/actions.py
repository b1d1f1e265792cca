import datetime
from collections.abc import Collection

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import Model

from jobs.models import Job, Part, Ply

SAME_WISH = datetime.timedelta(minutes=2)
OF_ITS_OWN = {  # what a job does not take over from the one it is like
    *("id", "name", "cut_on", "chance_percent", "notes", "state", "gelcoat_area_m2"),
    *("made_by", "made_at", "taken_on_by", "taken_on_at"),
}


class NameTaken(Exception):
    """There is another job of that name."""


@transaction.atomic
def take_job(
    *,
    like: Job,
    times: int,
    cut_on: datetime.date,
    name: str,
    chance_percent: int | None,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> Job:
    """Write what was imagined as a job with a lay-up of its own; sent twice in a row it is one."""
    wish = {"cut_on": cut_on, "chance_percent": chance_percent, "made_by": by}
    area_m2 = like.gelcoat_area_m2 * times
    begun = wish | {"made_at": at, "gelcoat_area_m2": area_m2} | _taken_over(like, OF_ITS_OWN)
    job, is_new = Job.objects.get_or_create(name=name, defaults=begun)
    lay_up = [(part.name, part.count * times, _plies_of(part)) for part in like.parts.order_by("pk")]
    if not is_new:
        same = all(getattr(job, key) == value for key, value in wish.items()) and at - job.made_at < SAME_WISH
        if same and lay_up == [(part.name, part.count, _plies_of(part)) for part in job.parts.order_by("pk")]:
            return job
        raise NameTaken(f"There is already a job called {name}. Choose another name.")
    for part_name, count, plies in lay_up:
        made = Part.objects.create(job=job, name=part_name, count=count)
        Ply.objects.bulk_create(Ply(part=made, **ply) for ply in plies)
    return job


def _plies_of(part: Part) -> list[dict]:
    return [_taken_over(ply, {"id", "part"}) for ply in part.plies.order_by("number")]


def _taken_over(row: Model, but: Collection[str]) -> dict:
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields if field.name not in but}
