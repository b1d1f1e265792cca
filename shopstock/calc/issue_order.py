"""Which container goes first, and what several needs take from the containers of one product, day by day.

First expired, first out; of equal dates the opened one before the sealed one, then the one received earliest. What is
past its date on the day of use is never counted.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date


class IssueError(ValueError):
    """A mass that cannot be issued."""


@dataclass(frozen=True)
class Stock:
    """One container: mass left in g, last day of use, whether it is open, the day it was received, its batch."""

    code: str
    mass_g: int
    expires_on: date
    opened: bool
    received_on: date
    batch: str = ""


@dataclass(frozen=True)
class Need:
    """A mass in g wanted on a day, and what for."""

    mass_g: int
    needed_on: date
    purpose: str


@dataclass(frozen=True)
class Taken:
    """A mass in g from one container for one need."""

    code: str
    mass_g: int
    need: Need


@dataclass(frozen=True)
class Short:
    """A mass in g that no container in date on that day can give."""

    mass_g: int
    need: Need


@dataclass(frozen=True)
class Issue:
    """What each need takes, what is short, and the mass in g that no need takes, by container code."""

    taken: tuple[Taken, ...]
    short: tuple[Short, ...]
    left_g: dict[str, int]


def issue_order(stock: Iterable[Stock], on: date) -> list[Stock]:
    """Containers that may be used on the day ``on``, the one that goes first at the head.

    Empty ones are left out, and those that come only later.

    Source: first expired first out, then opened before sealed, then oldest receipt (common shop practice; class rules
    forbid use past the date). Worked: use 20 Jan; of P4 to 5 Jan, P3 to 10 Feb, D1 to 1 Mar, D2 to 15 May → P3, D1, D2.
    """
    usable = [item for item in stock if item.mass_g > 0 and item.received_on <= on <= item.expires_on]
    return sorted(usable, key=_urgency)


def _urgency(item: Stock) -> tuple[date, bool, date]:
    return item.expires_on, not item.opened, item.received_on


def goes_before(first: Stock, other: Stock) -> bool:
    """Whether ``first`` must be used before ``other``; two that are alike may be taken either way.

    Worked: to 10 Feb before to 1 Mar; of the same date, the opened one before the sealed one.
    """
    return _urgency(first) < _urgency(other)


def order_for_job(
    stock: Iterable[Stock], on: date, need_g: int, *, begun: str = "", alike: bool = False
) -> list[Stock]:
    """Containers for one job on the day ``on``, the one to draw from at the head; ``need_g`` (g) is what it takes yet.

    What ends first goes first; the batch ``begun`` goes on while it lasts. With ``alike``, where one batch must serve
    the whole job (a colour), it begins with the first batch that holds enough alone. Source: common shop practice, one
    batch a job where it can be. Worked: 9 kg of gelcoat from G1 4 kg (to 10 Feb) and G2 10 kg (to 1 Mar) of two batches
    → G2 alone; with G1's batch begun → G1 first.
    """
    usable = issue_order(stock, on)
    batch = _batch_in_hand(usable, begun) or (_batch_that_is_enough(usable, need_g) if alike else "")
    return sorted(usable, key=lambda item: item.batch != batch) if batch else usable


def _batch_in_hand(usable: Sequence[Stock], begun: str) -> str:
    return begun if begun and any(item.batch == begun for item in usable) else ""


def _batch_that_is_enough(usable: Sequence[Stock], need_g: int) -> str:
    batches = dict.fromkeys(item.batch for item in usable if item.batch)
    return next((b for b in batches if sum(item.mass_g for item in usable if item.batch == b) >= need_g), "")


def issue(needs: Iterable[Need], stock: Sequence[Stock]) -> Issue:
    """Give each need, earliest day first, what the containers hold that are in date on its day.

    Masses in g. Raises IssueError for a negative need. Source: first expired first out. Worked: 36 300 g on 20 Jan from
    P4 20 000 (to 5 Jan), P3 12 000 (10 Feb), D1 18 000 (1 Mar), D2 200 000 (15 May) → 12 000 + 18 000 + 6 300 g.
    """
    left = {item.code: item.mass_g for item in stock}
    taken: list[Taken] = []
    short: list[Short] = []
    for need in sorted(needs, key=lambda need: need.needed_on):
        lines = _serve(need, stock, left)
        missing = need.mass_g - sum(line.mass_g for line in lines)
        taken += lines
        if missing:
            short.append(Short(missing, need))
    return Issue(tuple(taken), tuple(short), left)


def _serve(need: Need, stock: Sequence[Stock], left: dict[str, int]) -> list[Taken]:
    if need.mass_g < 0:
        raise IssueError("A need cannot be less than nothing: check the mass.")
    wanted, lines = need.mass_g, []
    for item in issue_order(stock, need.needed_on):
        mass_g = min(wanted, left[item.code])
        if mass_g:
            lines.append(Taken(item.code, mass_g, need))
            left[item.code] -= mass_g
            wanted -= mass_g
    return lines
