"""Materials that come from one supplier in one delivery: how often to order, and which of them each time."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt


class JointOrderError(ValueError):
    """Costs from which no common cycle can be worked out."""


@dataclass(frozen=True)
class JointItem:
    """A line's own cost of ordering in money, the cost of keeping a unit for a year, and the need a year in units."""

    line_cost: float
    holding: float
    per_year: float


@dataclass(frozen=True)
class CommonCycle:
    """Time in years between orders, every how many of them each item is on, and what it all costs a year."""

    years: float
    multiples: tuple[int, ...]
    cost: float


def common_cycle(items: Sequence[JointItem], shared_cost: float) -> CommonCycle:
    """The cycle of orders that share a delivery, every item on each or every so manieth of them.

    ``shared_cost`` is money for a delivery. Raises JointOrderError. Source: Silver's heuristic, as in Snyder and Shen,
    Fundamentals of Supply Chain Theory. Worked: 600; 120, 840, 300; 160, 20, 50; 1, 1, 1 → 3.1032, multiples 1, 3, 1,
    cost 837.854.
    """
    if not items or shared_cost <= 0 or any(min(i.line_cost, i.holding, i.per_year) <= 0 for i in items):
        raise JointOrderError("Give at least one item; every cost and need must be above 0.")
    ratios = [item.line_cost / (item.holding * item.per_year) for item in items]
    first = min(range(len(items)), key=ratios.__getitem__)
    base = items[first]
    share = base.holding * base.per_year / (shared_cost + base.line_cost)
    multiples = tuple(1 if number == first else _rounded(sqrt(ratio * share)) for number, ratio in enumerate(ratios))
    orders = shared_cost + sum(item.line_cost / m for item, m in zip(items, multiples, strict=True))
    kept = sum(item.holding * item.per_year * m for item, m in zip(items, multiples, strict=True))
    return CommonCycle(sqrt(2 * orders / kept), multiples, sqrt(2 * orders * kept))


def _rounded(multiple: float) -> int:
    """The whole number whose square lies nearest in proportion: n with n·(n − 1) ≤ m² ≤ n·(n + 1)."""
    whole = max(1, int(multiple))
    return whole if multiple**2 <= whole * (whole + 1) else whole + 1
