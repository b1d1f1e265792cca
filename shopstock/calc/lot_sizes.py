"""When to order how much, when needs differ from period to period and the lot may have any size.

Whole rolls break the rule these rest on (order only when the stock is gone); for them see ``whole_rolls``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

Number = int | Decimal


class LotSizeError(ValueError):
    """Needs or costs from which no lots can be worked out."""


@dataclass(frozen=True)
class Lots:
    """What to receive in each period, and what that costs in orders, goods and stock kept."""

    lots: tuple[Decimal, ...]
    cost: Decimal
    prefix_costs: tuple[Decimal, ...] = ()


def cheapest_lots(
    needed: Sequence[Number],
    *,
    holding: Number | Sequence[Number],
    order_cost: Number | Sequence[Number],
    unit_cost: Number | Sequence[Number] = 0,
) -> Lots:
    """The cheapest lots of all, with the cheapest cost of the first 1, 2, 3 … periods.

    ``needed`` per period in any unit, ``holding`` in money for a unit kept over a period, ``order_cost`` in money for
    an order, ``unit_cost`` in money for a unit; each one figure or one a period. Raises LotSizeError. Source: Wagner
    and Whitin, Management Science 5 (1958): F(j) = min over i of F(i − 1) + K_i + c_i·D_ij + h·Σ(k − i)·d_k. Worked:
    needs 18, 30, 42, 5, 20, holding 2, order 80 → 48, 0, 47, 0, 20, cost 310.
    """
    demand, orders, prices, rates = _checked(needed, order_cost, unit_cost, holding)
    best, first = [Decimal(0)], []
    for last in range(len(demand)):
        ways = [
            (best[start] + _lot_cost(demand, start, last, orders, prices, rates), start) for start in range(last + 1)
        ]
        cost, start = min(ways, key=lambda way: (way[0], -way[1]))
        best.append(cost)
        first.append(start)
    return Lots(_lots_from(demand, first), best[-1], tuple(best[1:]))


def _lot_cost(demand, start: int, last: int, orders, prices, rates) -> Decimal:
    """Money for one order in period `start` that covers the needs up to `last`."""
    units = sum(demand[start : last + 1])
    if not units:
        return Decimal(0)
    kept = sum(demand[k] * sum(rates[start:k], Decimal(0)) for k in range(start, last + 1))
    return orders[start] + prices[start] * units + kept


def _lots_from(demand: Sequence[Decimal], first: Sequence[int]) -> tuple[Decimal, ...]:
    lots, last = [Decimal(0)] * len(demand), len(demand) - 1
    while last >= 0:
        start = first[last]
        lots[start] = sum(demand[start : last + 1], Decimal(0))
        last = start - 1
    return tuple(lots)


def silver_meal(needed: Sequence[Number], *, holding: Number, order_cost: Number) -> Lots:
    """Lots by the Silver–Meal rule: an order is made to last longer while its cost a period falls.

    ``needed`` per period in any unit, ``holding`` in money for a unit kept over a period, ``order_cost`` in money.
    Raises LotSizeError. Source: Silver, Pyke and Peterson, Inventory Management and Production Planning and Scheduling.
    Worked: needs 18, 30, 42, 5, 20, holding 2, order 80 → 48, 0, 47, 0, 20.
    """
    demand, *_ = _checked(needed, order_cost, 0, holding)
    rate, order = Decimal(holding), Decimal(order_cost)
    lots, start = [Decimal(0)] * len(demand), 0
    while start < len(demand):
        span, cost = 1, order
        while start + span < len(demand):
            longer = cost + rate * span * demand[start + span]
            if longer / (span + 1) > cost / span:
                break
            span, cost = span + 1, longer
        lots[start] = sum(demand[start : start + span], Decimal(0))
        start += span
    return Lots(tuple(lots), cost_of_lots(demand, lots, holding=holding, order_cost=order_cost))


def cost_of_lots(needed: Sequence[Number], lots: Sequence[Number], *, holding: Number, order_cost: Number) -> Decimal:
    """Money for these lots: an order for each that is not 0, and stock kept at the end of each period.

    Quantities in one unit, ``holding`` in money for a unit and period, ``order_cost`` in money. Raises LotSizeError
    when a need is not covered. Worked: needs 18, 30, lots 48, 0, holding 2, order 80 → 80 + 60 = 140.
    """
    demand, *_ = _checked(needed, order_cost, 0, holding)
    stock, cost = Decimal(0), Decimal(0)
    for need, lot in zip(demand, map(Decimal, lots), strict=True):
        stock += lot - need
        if stock < 0:
            raise LotSizeError("These lots come too late for what is needed.")
        cost += (Decimal(order_cost) if lot else 0) + stock * Decimal(holding)
    return cost


def _checked(needed, order_cost, unit_cost, holding) -> tuple[list[Decimal], ...]:
    rows = [_per_period(figures, len(needed)) for figures in (list(needed), order_cost, unit_cost, holding)]
    if not needed or any(figure < 0 for row in rows for figure in row):
        raise LotSizeError("Give the needs of at least one period; no need and no cost can be below 0.")
    return tuple(rows)


def _per_period(figures: Number | Sequence[Number], periods: int) -> list[Decimal]:
    if isinstance(figures, int | Decimal):
        return [Decimal(figures)] * periods
    if len(figures) != periods:
        raise LotSizeError(f"{len(figures)} figures were given for {periods} periods.")
    return [Decimal(figure) for figure in figures]
