"""How much to order at a time of something that is used steadily: economic order quantity, price breaks, shelf life.

Quantities are in any one unit, times in years, costs in money. Use these for consumables; what jobs need is netted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, inf, sqrt


class QuantityError(ValueError):
    """Figures from which no order quantity can be worked out."""


@dataclass(frozen=True)
class OrderQuantity:
    """A quantity and what ordering it costs a year; for price breaks the goods are in the cost."""

    quantity: float
    cost: float


@dataclass(frozen=True)
class PriceBreak:
    """From this quantity on, this price for a unit."""

    least: float
    price: float


def economic_quantity(order_cost: float, holding: float, per_year: float) -> OrderQuantity:
    """The quantity at which orders and stock kept cost least together.

    ``order_cost`` in money for an order, ``holding`` in money for a unit and year, ``per_year`` in units. Raises
    QuantityError. Source: Q = √(2KD/h). Worked: 8, 0.225, 1300 → 304.047, cost 68.4105.
    """
    _above_zero(order_cost, holding, per_year)
    return OrderQuantity(sqrt(2 * order_cost * per_year / holding), sqrt(2 * order_cost * per_year * holding))


def economic_quantity_with_backlog(
    order_cost: float, holding: float, shortage: float, per_year: float
) -> tuple[OrderQuantity, float]:
    """The same when customers wait at a cost, and the share of needs that waits.

    ``shortage`` in money for a unit short over a year, the rest as in ``economic_quantity``. Raises QuantityError.
    Source: Q = √(2KD(h + p)/(hp)), x = h/(h + p). Worked: 8, 0.225, 5, 1300 → 310.813, share 0.04306, cost 66.921.
    """
    _above_zero(order_cost, holding, shortage, per_year)
    both = holding * shortage / (holding + shortage)
    quantity, cost = sqrt(2 * order_cost * per_year / both), sqrt(2 * order_cost * per_year * both)
    return OrderQuantity(quantity, cost), holding / (holding + shortage)


def with_all_units_breaks(
    order_cost: float, rate: float, per_year: float, breaks: Sequence[PriceBreak]
) -> OrderQuantity:
    """The quantity when all units of an order get the price of the break it reaches.

    ``rate`` is the cost of keeping money in stock, per year; breaks from the smallest quantity, the first from 0; cost
    a year with the goods. Raises QuantityError. Source: the economic quantity of every price, moved into its band.
    Worked: 8, 0.3, 1300, from 0 at 0.75, 400 at 0.72, 800 at 0.68 → 800, 978.60.
    """
    _check_breaks(order_cost, rate, per_year, breaks)
    found = []
    for step, above in zip(breaks, [*breaks[1:], PriceBreak(inf, 0)], strict=True):
        wished = economic_quantity(order_cost, rate * step.price, per_year).quantity
        quantity = max(step.least, wished)
        if quantity < above.least:
            found.append(OrderQuantity(quantity, yearly_cost(quantity, order_cost, rate, per_year, breaks)))
    return min(found, key=lambda option: option.cost)


def yearly_cost(
    quantity: float, order_cost: float, rate: float, per_year: float, breaks: Sequence[PriceBreak]
) -> float:
    """Money a year for orders, goods and stock kept when each order is of ``quantity``, all units at one price.

    Units as in ``with_all_units_breaks``. Raises QuantityError. Worked: 500 m, 45, 0.25, 600 m, from 500 m at 1.85 →
    54 + 1110 + 115.625 = 1279.625.
    """
    _check_breaks(order_cost, rate, per_year, breaks)
    _above_zero(quantity)
    price = [step.price for step in breaks if step.least <= quantity][-1]
    return order_cost * per_year / quantity + price * per_year + rate * price * quantity / 2


def with_incremental_breaks(
    order_cost: float, rate: float, per_year: float, breaks: Sequence[PriceBreak]
) -> OrderQuantity:
    """The quantity when only the units beyond a break get its price.

    Units as in ``with_all_units_breaks``. Raises QuantityError. Source: each price with the fixed cost of the dearer
    units below it. Worked: 150, 0.25, 2400, from 0 at 100, 300 at 90, 600 at 80 → 1481.89, 222 762.81.
    """
    _check_breaks(order_cost, rate, per_year, breaks)
    found, fixed = [], 0.0
    for number, (step, above) in enumerate(zip(breaks, [*breaks[1:], PriceBreak(inf, 0)], strict=True)):
        if number:
            fixed += step.least * (breaks[number - 1].price - step.price)
        quantity = sqrt(2 * (order_cost + fixed) * per_year / (rate * step.price))
        if step.least <= quantity <= above.least:
            money = fixed + step.price * quantity
            cost = (order_cost + money) * per_year / quantity + rate * money / 2
            found.append(OrderQuantity(quantity, cost))
    return min(found, key=lambda option: option.cost)


def in_whole_packs(
    pack: float,
    order_cost: float,
    rate: float,
    per_year: float,
    breaks: Sequence[PriceBreak],
    most: float = inf,
) -> OrderQuantity:
    """The best order of whole packs of ``pack`` units, at least one and at most ``most`` units.

    Units as in ``with_all_units_breaks``. Raises QuantityError, also when ``most`` is less than a pack. Source: the
    whole packs below and above the best of each price. Worked: rolls of 50 m, 45, 0.25, 600 m, 0/250/500 m at
    2.10/1.95/1.85 → 500 m, 1279.625.
    """
    _check_breaks(order_cost, rate, per_year, breaks)
    _above_zero(pack)
    wished = [economic_quantity(order_cost, rate * step.price, per_year).quantity for step in breaks]
    marks = [min(mark, most) for mark in (*wished, *(step.least for step in breaks), most) if mark < inf]
    packs = {max(1, around(mark / pack)) for mark in marks for around in (floor, ceil)}
    options = sorted(count * pack for count in packs if count * pack <= most)
    if not options:
        raise QuantityError(f"One pack of {pack:g} is more than the {most:g} that may be ordered at once.")
    costs = [OrderQuantity(q, yearly_cost(q, order_cost, rate, per_year, breaks)) for q in options]
    return min(costs, key=lambda option: option.cost)


def used_before_it_dies(per_year: float, usable_days: float) -> float:
    """The most of an ageing product that one order may bring in, in its unit: what is used within ``usable_days``.

    Raises QuantityError. Source: Q ≤ D·(life − margin). Worked: 900 kg a year, 90 days → 221.9 kg.
    """
    _above_zero(per_year, usable_days)
    return per_year * usable_days / 365


def _above_zero(*figures: float) -> None:
    if any(figure <= 0 for figure in figures):
        raise QuantityError("Order cost, holding cost, need and pack must all be above 0.")


def _check_breaks(order_cost: float, rate: float, per_year: float, breaks: Sequence[PriceBreak]) -> None:
    _above_zero(order_cost, rate, per_year, *(step.price for step in breaks))
    marks = [step.least for step in breaks]
    if not marks or marks[0] != 0 or sorted(set(marks)) != marks:
        raise QuantityError("Price breaks start at 0 and rise, one price each.")
