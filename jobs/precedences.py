"""Decisions by name that one job gets cloth before another; the order of days holds for all others."""

import datetime
from collections.abc import Iterable

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, Q, QuerySet

from .calc.precedence import CircleError, in_order
from .models import Job, Precedence
from .plans import require_firm, require_planned_work
from .queries import planned_work, standing_precedences


class NotDecided(Exception):
    """A decision that cannot be made; the message says what to do."""


@transaction.atomic
def let_before(
    *, first: Job, then: Iterable[Job], reason: str, by: AbstractBaseUser, at: datetime.datetime
) -> list[Precedence]:
    """From now on `first` gets cloth before each of `then`. Decided twice, the first decision stands."""
    if not reason.strip():
        raise NotDecided("Say why: it stands in the timeline under your name.")
    Job.objects.filter(pk__in=planned_work().values("pk")).update(state=F("state"))  # one decision at a time
    first, then = Job.objects.get(pk=first.pk), list(Job.objects.filter(pk__in=[job.pk for job in then]))
    for job in (first, *then):
        require_planned_work(job)
        require_firm(job)
    if first in then:
        raise NotDecided(f"{first} cannot go before itself.")
    made = []
    for job in then:
        standing = standing_precedences().filter(first=first, then=job).first()
        made.append(standing or Precedence.objects.create(first=first, then=job, reason=reason.strip(), by=by, at=at))
    _refuse_a_circle()
    return made


def _refuse_a_circle() -> None:
    before = list(standing_precedences().values_list("first_id", "then_id"))
    try:
        in_order(list(planned_work().values_list("pk", flat=True)), before)
    except CircleError:
        raise NotDecided(
            "That would wait in a circle: it was decided already that the other goes first. "
            "Take that back first, under “Which jobs can be cut”."
        ) from None


def take_back(*, decision: Precedence, by: AbstractBaseUser, at: datetime.datetime) -> None:
    """The order of days holds again between the two; the decision stays on record. Twice is once."""
    standing = Precedence.objects.filter(pk=decision.pk, taken_back_at__isnull=True)
    standing.update(taken_back_by=by, taken_back_at=at)


def decisions_about(job: Job) -> QuerySet[Precedence]:
    rows = Precedence.objects.filter(Q(first=job) | Q(then=job)).select_related("first", "then", "by", "taken_back_by")
    return rows.order_by("-at", "-pk")
