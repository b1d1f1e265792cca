"""What to buy: whole rolls for planned jobs and for the minimum, whole packs of resin that will live long enough."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from itertools import product
from math import prod

from shopstock.calc.issue_order import Short


@dataclass(frozen=True)
class RollsToBuy:
    """Whole rolls: for planned jobs, and further ones for the minimum kept on the racks."""

    for_jobs: int
    for_minimum: int

    @property
    def rolls(self) -> int:
        return self.for_jobs + self.for_minimum


@dataclass(frozen=True)
class PacksToBuy:
    """One order of one product: mass short in g, packs (None when the pack size is not known), first day, for what."""

    mass_g: int
    packs: int | None
    needed_on: date
    purposes: tuple[str, ...]


def whole(quantity: int, lot: int) -> int:
    """The fewest whole lots that hold ``quantity`` (same unit). Worked: 51 m in rolls of 50 m → 2."""
    return int((Decimal(quantity) / lot).to_integral_value(ROUND_CEILING))


def rolls_to_buy(
    *, job_rolls: int, job_short_mm: int, free_mm: int, minimum_mm: int, roll_length_mm: int
) -> RollsToBuy:
    """Rolls for jobs as the planner found them, and rolls that lift what is left of free stock to the minimum.

    ``job_rolls`` whole rolls holding the ``job_short_mm`` that the racks cannot give, ``free_mm`` free now,
    ``minimum_mm`` to keep, ``roll_length_mm`` as sold. What the bought rolls have over counts towards the minimum.
    Source: reorder when free stock is below the minimum, in whole rolls. Worked: 1 roll of 50 m for 41 m short, 12 m
    free, minimum 30 m → over 9 m, gap 9 m → 1 more.
    """
    over_mm = max(0, job_rolls * roll_length_mm - job_short_mm)
    gap_mm = max(0, minimum_mm - free_mm - over_mm)
    return RollsToBuy(job_rolls, whole(gap_mm, roll_length_mm))


def packs_to_buy(short: Iterable[Short], *, pack_g: int | None, shelf_life_days: int | None) -> list[PacksToBuy]:
    """Orders that cover what is short, none larger than what is used before it dies.

    ``pack_g`` in g as sold, ``shelf_life_days`` when bought, counted from the first day it is needed; None means not
    known, and then one order covers all. Source: do not order resin for longer than its life (shop practice). Worked:
    30 kg short on 1 March and 10 kg on 1 December, packs of 25 kg, life 180 days → 2 packs, then 1 pack.
    """
    return [_order(group, pack_g) for group in _within_life(sorted(short, key=_day), shelf_life_days)]


def _day(short: Short) -> date:
    return short.need.needed_on


def _within_life(short: Sequence[Short], life_days: int | None) -> list[list[Short]]:
    groups: list[list[Short]] = []
    for item in short:
        if groups and (life_days is None or _day(item) <= _day(groups[-1][0]) + timedelta(days=life_days)):
            groups[-1].append(item)
        else:
            groups.append([item])
    return groups


def _order(group: Sequence[Short], pack_g: int | None) -> PacksToBuy:
    mass_g = sum(item.mass_g for item in group)
    purposes = tuple(dict.fromkeys(item.need.purpose for item in group))
    return PacksToBuy(mass_g, whole(mass_g, pack_g) if pack_g else None, _day(group[0]), purposes)


@dataclass(frozen=True)
class PackSize:
    """A drum, pail or can: its content in g, and what one costs from so many on."""

    content_g: int
    prices: tuple[tuple[int, Decimal], ...]

    def cost(self, count: int) -> Decimal:
        """Money for so many at once."""
        return count * next((price for least, price in reversed(self.prices) if least <= count), Decimal(0))


MOST_WAYS = 50_000  # combinations of drums that are looked through; beyond that the smallest pack alone


def cheapest_packs(needed_g: int, sizes: Sequence[PackSize]) -> dict[int, int]:
    """How many of each content (g) cover a need (g) for the least money, fewest packs of equals.

    Never more than whole packs of the smallest size would bring: what is over dies unused. Every size needs a price.
    Source: enumeration. Worked: drums of 225 kg at 700, pails of 25 kg at 95: 230 kg → 1 drum and 1 pail (795), but
    200 kg → 8 pails, though a drum is cheaper.
    """
    *larger, smallest = sorted(sizes, key=lambda size: -size.content_g)
    most_g = whole(needed_g, smallest.content_g) * smallest.content_g
    choices = [range(most_g // size.content_g + 1) for size in larger]
    if prod(map(len, choices)) > MOST_WAYS:
        choices = [range(1) for _ in larger]
    ways = []
    for counts in product(*choices):
        left_g = needed_g - sum(count * size.content_g for count, size in zip(counts, larger, strict=True))
        counts = (*counts, whole(max(0, left_g), smallest.content_g))
        packs = list(zip(counts, (*larger, smallest), strict=True))
        if sum(count * size.content_g for count, size in packs) <= most_g:
            ways.append((sum(size.cost(count) for count, size in packs), sum(counts), packs))
    _, _, best = min(ways, key=lambda way: way[:2])
    return {size.content_g: count for count, size in best if count}
