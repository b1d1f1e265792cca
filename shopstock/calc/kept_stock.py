"""A minimum of a product kept in date: when less is there, what lifts it again, how much of that is used in time."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from shopstock.calc.issue_order import Issue, Need, Short, Stock, issue

MINIMUM = "minimum"
LONGEST_LIFE_DAYS = 3650  # where nobody said; a longer one is a slip, and would lead past the calendar


def fresh(code: str, mass_g: int, came_on: date, life_days: int | None) -> Stock:
    """A sealed container of ``mass_g`` that lives for ``life_days`` (None: not known) from the day it comes."""
    days = LONGEST_LIFE_DAYS if life_days is None else min(life_days, LONGEST_LIFE_DAYS)
    return Stock(code, mass_g, came_on + timedelta(days=days), False, came_on)


def in_date_g(plan: Issue, stock: Sequence[Stock], on: date) -> int:
    """Mass in g at the end of a day, in date on it, when needs take what ``plan`` gives them.

    Raises nothing. Worked: 20 kg to day 9 and 10 kg to day 60, 12 kg taken on day 5 → 18 kg on day 5, 10 kg on day 10.
    """
    taken: dict[str, int] = {}
    for line in plan.taken:
        if line.need.needed_on <= on:
            taken[line.code] = taken.get(line.code, 0) + line.mass_g
    return sum(item.mass_g - taken.get(item.code, 0) for item in stock if item.received_on <= on <= item.expires_on)


def short_of_minimum(
    needs: Sequence[Need], stock: Sequence[Stock], *, minimum_g: int, soonest: date, life_days: int | None
) -> list[Short]:
    """What must come on each day so that no less than ``minimum_g`` (g) is in date at its end.

    From ``soonest``, when an order of today is here, to the last need; what comes lives ``life_days``. Needs are served
    by ``stock``: what they lack is bought for them before. Raises IssueError. Source: time-phased netting with safety
    stock, N = max(0, G + SS − SR − I). Worked: minimum 25 kg; 10 kg to day 60, 20 kg to day 100; 8 kg needed on day 20
    and 1 kg on day 70 → 3 kg on day 20; on day 61 2 kg die, and on day 70 1 kg is used: 2 kg, then 1 kg.
    """
    stock, found, day = list(stock), [], soonest
    until = max((need.needed_on for need in needs), default=soonest)
    plan = issue(needs, stock)
    while day is not None:
        low_g = minimum_g - in_date_g(plan, stock, day)
        if low_g > 0:
            found.append(Short(low_g, Need(minimum_g, day, MINIMUM)))
            stock.append(fresh(f"{MINIMUM} {len(found)}", low_g, day, life_days))
            plan = issue(needs, stock)
        day = min((change for change in _changes(needs, stock) if day < change <= until), default=None)
    return found


def below_since(needs: Sequence[Need], stock: Sequence[Stock], *, minimum_g: int, on: date, day: date) -> date:
    """From which day, today or later, it stays below the minimum (g) until ``day``. Raises IssueError.

    Worked: the stock above, asked for day 25 → day 20.
    """
    plan, since = issue(needs, stock), day
    for change in sorted({on, *(change for change in _changes(needs, stock) if on < change <= day)}, reverse=True):
        if in_date_g(plan, stock, change) >= minimum_g:
            break
        since = change
    return since


def _changes(needs: Sequence[Need], stock: Sequence[Stock]) -> Iterator[date]:
    """Days on which something is taken, comes, or is past its date for the first time."""
    for need in needs:
        yield need.needed_on
    for item in stock:
        yield item.received_on
        if item.expires_on < date.max:
            yield item.expires_on + timedelta(days=1)


def used_in_time_g(needs: Sequence[Need], *, drawn_g: int, came_on: date, life_days: int) -> int:
    """How much is used within the life of what comes on a day: known use to come, or as much time gone by.

    Mass in g that jobs need after that day until it ends, or ``drawn_g``, drawn in the ``life_days`` gone by, whichever
    is more. Raises nothing. Source: Q ≤ use a day × shelf life. Worked: 12 kg on day 20 and 30 kg on day 200, life 180
    days, 25 kg drawn → 25 kg.
    """
    ends = fresh("", 0, came_on, life_days).expires_on
    return max(drawn_g, sum(need.mass_g for need in needs if came_on < need.needed_on <= ends))


def most_in_time_g(short_g: int, *, pack_g: int, room_g: int) -> int:
    """The whole packs that cover what is short, or the most of them that do not exceed what is used in time; in g.

    ``pack_g`` is the smallest pack, ``room_g`` what is used in time beyond what is there. Raises nothing. Worked: short
    of 40 kg, packs of 25 kg: 50 kg with room for 60 kg, 25 kg for 30 kg, none for 20 kg.
    """
    covering_g = -(-short_g // pack_g) * pack_g
    return min(covering_g, max(0, room_g) // pack_g * pack_g)
