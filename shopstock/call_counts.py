"""How often somebody called in the present minute, counted in the database for all workers together."""

import datetime

from django.db import transaction
from django.db.models import F

from .models import CallCount


def calls_in_minute(name: str, at: datetime.datetime) -> int:
    """Without counting this look."""
    found = CallCount.objects.filter(name=name, minute=_minute(at)).values_list("calls", flat=True)
    return found.first() or 0


@transaction.atomic
def count_call(name: str, at: datetime.datetime) -> int:
    """Count one, and say the how-manieth of its minute it is; rows of minutes gone by are dropped."""
    minute = _minute(at)
    CallCount.objects.get_or_create(name=name, minute=minute)
    CallCount.objects.filter(name=name, minute=minute).update(calls=F("calls") + 1)
    CallCount.objects.filter(minute__lt=minute - datetime.timedelta(hours=1)).delete()
    return CallCount.objects.get(name=name, minute=minute).calls


def _minute(at: datetime.datetime) -> datetime.datetime:
    return at.replace(second=0, microsecond=0)
