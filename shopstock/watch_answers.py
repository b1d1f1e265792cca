"""Warnings with what people answered to them: seen, or put off until a day; and whose they are by role."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from .models import WatchDecision
from .roles import CLERK, LAMINATOR, OWNER
from .watch import KINDS, WatchItem, watch_list

# A laminator sees what can spoil the work at hand; deciding on quarantine and buying are for others.
WATCHED = {
    OWNER: tuple(KINDS),
    CLERK: tuple(KINDS),
    LAMINATOR: (
        "resin_past", "resin_opened", "resin_near", "neighbour", "prepreg", "roll_date", "climate", "folded",
        "short_end",
    ),
}  # fmt: skip
LONGEST_DAYS = 90


class CannotPutOff(ValueError):
    """A day that puts nothing off, or too much."""


@dataclass(frozen=True)
class Watched:
    """A warning and the answer that still holds, if any."""

    item: WatchItem
    answer: WatchDecision | None = None

    @property
    def is_put_off(self) -> bool:
        return self.answer is not None and self.answer.kind == WatchDecision.Kind.PUT_OFF

    @property
    def is_seen(self) -> bool:
        return self.answer is not None and not self.is_put_off


def watched(role: str | None, on: datetime.date, at: datetime.datetime | None = None) -> list[Watched]:
    """Every warning for a role with its answer, most urgent first."""
    kinds = WATCHED.get(role, ())
    return with_answers([item for item in watch_list(on, at) if item.kind in kinds], on)


def with_answers(items: Iterable[WatchItem], on: datetime.date) -> list[Watched]:
    """An answer holds until its day comes, and no longer when the warning has become more urgent since."""
    items = list(items)
    latest: dict[str, WatchDecision] = {}
    rows = WatchDecision.objects.filter(warning__in=[item.name for item in items]).select_related("by")
    for decision in rows.order_by("at", "pk"):
        latest[decision.warning] = decision
    return [Watched(item, _holding(latest.get(item.name), item, on)) for item in items]


def _holding(decision: WatchDecision | None, item: WatchItem, on: datetime.date) -> WatchDecision | None:
    if decision is None or item.severity < decision.severity:
        return None
    if decision.until is not None and decision.until <= on:
        return None
    return decision


def answer(
    *, item: WatchItem, kind: str, reason: str, by, at: datetime.datetime, until: datetime.date | None = None
) -> WatchDecision:
    """Keep who saw a warning, or put it off until a day, and why; raises CannotPutOff."""
    if kind == WatchDecision.Kind.PUT_OFF:
        _require_day(until, at.date())
    return WatchDecision.objects.create(
        warning=item.name,
        severity=item.severity,
        kind=kind,
        until=until if kind == WatchDecision.Kind.PUT_OFF else None,
        reason=reason,
        by=by,
        at=at,
    )


def _require_day(until: datetime.date | None, today: datetime.date) -> None:
    last = today + datetime.timedelta(days=LONGEST_DAYS)
    if until is None or not today < until <= last:
        raise CannotPutOff(f"Choose a day after today, up to {last}: what is put off comes back then.")
