"""Stock over time: what is left after each use and each arrival, how sure that is, and the first day it fails."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

COMES, TAKEN, DIES, SHORT, MAY_COME = "comes", "taken", "dies", "short", "may come"


@dataclass(frozen=True)
class Event:
    """A change on a day, in the unit of the stock; `amount` is never below 0, `kind` says which way it goes."""

    on: date
    kind: str
    amount: int
    words: str


@dataclass(frozen=True)
class Point:
    """How it stands at the end of a day: what is left for sure, at best and at worst, and what is short by then."""

    on: date
    left: int
    high: int
    low: int
    short: int
    events: tuple[Event, ...]


@dataclass(frozen=True)
class Outlook:
    points: tuple[Point, ...]

    @property
    def first_short(self) -> Point | None:
        return next((point for point in self.points if point.short), None)

    def first_below(self, minimum: int) -> Point | None:
        """The first point at which less is left for sure than the minimum kept."""
        return next((point for point in self.points if point.left < minimum), None)

    @property
    def last_on(self) -> date:
        return self.points[-1].on


def outlook(
    events: Iterable[Event], *, sure: int, booked: int, on: date, until: date, unplanned_a_day: float = 0.0
) -> Outlook:
    """A point for today, for every day on which something happens, and for the last day.

    ``sure`` and ``booked`` are what is there with 95 % certainty and by the books, in the unit of the events;
    ``unplanned_a_day`` is forecast use. The worst case takes the forecast and every job that may come, the best case
    all that is booked. Nothing is ever less than 0: what is missing counts as short. Raises nothing. Worked: 10 sure,
    12 booked, 6 taken on day 3, 5 short on day 5 → 10, 4 (best 6), 4 with 5 short.
    """
    by_day: dict[date, list[Event]] = {on: [], max(until, on): []}
    for event in events:
        by_day.setdefault(max(event.on, on), []).append(event)
    points, left, high, may, short = [], sure, booked, 0, 0
    for day in sorted(by_day):
        for event in by_day[day]:
            step = {COMES: event.amount, TAKEN: -event.amount, DIES: -event.amount}.get(event.kind, 0)
            left, high = left + step, high + step
            short += event.amount if event.kind == SHORT else 0
            may += event.amount if event.kind == MAY_COME else 0
        low = left - may - round(unplanned_a_day * (day - on).days)
        points.append(Point(day, max(0, left), max(0, high), max(0, low), short, tuple(by_day[day])))
    return Outlook(tuple(points))


def weekly(uses: Sequence[tuple[date, int]], *, first: date, last: date) -> list[int]:
    """Amounts used in each whole week from ``first`` up to ``last``, days outside left out. Raises nothing.

    Worked: from a Monday for three weeks, 5 on the first day and 2 on the tenth → 5, 2, 0.
    """
    weeks = [0] * max(0, ((last - first).days + 1) // 7)
    for day, amount in uses:
        week = (day - first).days // 7
        if 0 <= week < len(weeks):
            weeks[week] += amount
    return weeks
