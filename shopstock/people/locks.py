"""Sign-ins locked after too many wrong tries: which, and lifting one. The counting itself is the library's."""

import datetime

from axes.models import AccessAttempt
from axes.utils import reset
from django.conf import settings


def locked_names(now: datetime.datetime) -> list[str]:
    since = now - settings.AXES_COOLOFF_TIME
    tries = AccessAttempt.objects.filter(attempt_time__gte=since, failures_since_start__gte=settings.AXES_FAILURE_LIMIT)
    return sorted(set(tries.values_list("username", flat=True)) - {None})


def lift_lock(name: str) -> int:
    """Returns how many records of wrong tries there were."""
    return reset(username=name)
