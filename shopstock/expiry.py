"""Dates of resins: the day each container ends, why, and which of a product goes first."""

import datetime
from collections.abc import Iterable

from django.db.models import Case, DateField, DurationField, ExpressionWrapper, F, IntegerField, QuerySet, When
from django.db.models.functions import Cast, Coalesce, Least

from .calc.issue_order import issue_order
from .ledger.containers import as_stock, goes_first
from .models import Container

__all__ = [
    "IN_DATE",
    "NEAR",
    "PAST",
    "as_stock",
    "in_issue_order",
    "reason_of",
    "state_of",
    "to_take_before",
    "with_last_day",
]

PAST, NEAR, IN_DATE = "past", "near", "in date"


def with_last_day(containers: QuerySet[Container]) -> QuerySet[Container]:
    """Annotate `last_day`: the same as `expires_on`, for the database to filter and sort by."""
    by_date = Coalesce(F("extended_to"), F("label_date"))
    days = Cast("chemical__open_life_days", IntegerField())
    life = ExpressionWrapper(days * datetime.timedelta(days=1), DurationField())
    once_opened = Cast(ExpressionWrapper(F("opened_on") + life, DateField()), DateField())
    counts = Case(When(tested_on__gte=F("opened_on"), then=by_date), default=Coalesce(once_opened, by_date))
    return containers.annotate(last_day=Least(by_date, Cast(counts, DateField())))


def state_of(container: Container, *, on: datetime.date, warning_days: int) -> str:
    """PAST its date, NEAR it (inside the shop's warning window, last day included) or IN_DATE."""
    if container.expires_on < on:
        return PAST
    near = container.expires_on <= on + datetime.timedelta(days=warning_days)
    return NEAR if near else IN_DATE


def reason_of(container: Container) -> str:
    """Why the container ends on `expires_on`."""
    return container.end.reason


def in_issue_order(containers: Iterable[Container], *, on: datetime.date) -> list[Container]:
    """Those that may be used on the day, the one that goes first at the head."""
    by_code = {container.code: container for container in containers}
    return [by_code[item.code] for item in issue_order(map(as_stock, by_code.values()), on)]


def to_take_before(container: Container, *, on: datetime.date) -> Container | None:
    """The container of the same product that must go before this one, or None when this one is right to take."""
    return goes_first(container, on=on)
