"""The cheapest way to buy what is short from one supplier: which deliveries, with what on each, beside lot for lot."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from .calc.costing import to_cents
from .calc.whole_rolls import (
    EXACT,
    LOT_FOR_LOT,
    Break,
    Material,
    OrderPlan,
    WholeRollError,
    cheapest_orders,
    lot_for_lot,
)
from .models import Chemical, Shop, Supplier
from .to_order_line import OrderLine, PackNeed

WEEKS = 26


@dataclass(frozen=True)
class PlannedDelivery:
    """What should come in one week, by line, and the last day to order it."""

    comes_by: datetime.date
    order_by: datetime.date
    lines: tuple[tuple[OrderLine, int], ...]

    @property
    def words(self) -> str:
        return ", ".join(f"{packs} × {line.item}" for line, packs in self.lines)

    @property
    def packs(self) -> int:
        return sum(packs for _, packs in self.lines)


@dataclass(frozen=True)
class Buying:
    """The plan for one supplier; `plain` is the cost of ordering each need by itself."""

    deliveries: tuple[PlannedDelivery, ...]
    cost: Decimal
    plain_cost: Decimal
    plain_deliveries: int
    plain_packs: int
    pack_name: str
    method: str

    @property
    def proved(self) -> bool:
        return self.method == EXACT

    @property
    def is_fallback(self) -> bool:
        return self.method == LOT_FOR_LOT

    @property
    def saves(self) -> Decimal:
        return self.plain_cost - self.cost

    @property
    def words(self) -> str:
        """ "One order of 3 rolls"."""
        return _orders_words(len(self.deliveries), sum(delivery.packs for delivery in self.deliveries), self.pack_name)

    @property
    def plain_words(self) -> str:
        return _orders_words(self.plain_deliveries, self.plain_packs, self.pack_name)


def buying_of(supplier: Supplier, lines: Sequence[OrderLine], on: datetime.date, shop: Shop) -> Buying | None:
    """None when nothing here can be bought: packs or prices are not known."""
    known = [line for line in lines if line.packs and line.needs and line.each is not None]
    if not known:
        return None
    materials = [_material(line, on, shop) for line in known]
    try:
        plain = lot_for_lot(materials, supplier.freight)
        best = cheapest_orders(materials, supplier.freight, seconds=float(shop.order_seconds))
    except WholeRollError:
        return None
    names = {line.pack_name for line in known}
    return Buying(
        _deliveries(best, known, materials, on),
        to_cents(best.cost),
        to_cents(plain.cost),
        plain.deliveries,
        sum(map(sum, plain.packs)),
        names.pop() if len(names) == 1 else "roll or pack",
        best.method,
    )


def _orders_words(orders: int, packs: int, name: str) -> str:
    many = {"roll or pack": "rolls and packs"}.get(name, f"{name}s")
    return f"{'one order' if orders == 1 else f'{orders} orders'} of {packs} {name if packs == 1 else many}"


def _material(line: OrderLine, on: datetime.date, shop: Shop) -> Material:
    """One roll or pack is the unit: a job that begins a roll needs all of it."""
    lead = min((line.lead_days or 0) // 7, WEEKS - 1)
    needed = [0] * WEEKS
    for need in line.needs:
        needed[_week(need.needed_on, lead, on)] += need.packs
    life = line.material.shelf_life_days if isinstance(line.material, Chemical) else None
    return Material(
        line.item,
        tuple(map(Decimal, needed)),
        on_hand=Decimal(0),
        pack=Decimal(1),
        lead_periods=lead,
        prices=tuple(Break(least, price) for least, price in line.breaks) or (Break(1, line.each),),
        holding=line.each * shop.keeping_percent / 100 / 52,
        life_periods=None if life is None else max(0, life // 7 - 1),  # it may come early in a week and be used late
    )


def _week(day: datetime.date | None, lead: int, on: datetime.date) -> int:
    """The week in which it must be here; without a day, the first in which an order can be."""
    if day is None:
        return lead
    return min(max(0, (day - on).days // 7), WEEKS - 1)


def _deliveries(
    plan: OrderPlan, lines: Sequence[OrderLine], materials: Sequence[Material], on: datetime.date
) -> tuple[PlannedDelivery, ...]:
    found: list[PlannedDelivery] = []
    for week in range(len(materials[0].needed)):
        here = [(line, row[week]) for line, row in zip(lines, plan.packs, strict=True) if row[week]]
        if here:
            longest = max(line.lead_days or 0 for line, _ in here)
            begun = [line for delivery in found for line, _ in delivery.lines]
            comes_by = max(_comes_by(here, begun, week, on), on + datetime.timedelta(days=longest))
            found.append(PlannedDelivery(comes_by, comes_by - datetime.timedelta(days=longest), tuple(here)))
    return tuple(found)


def _comes_by(
    lines: Sequence[tuple[OrderLine, int]], begun: Sequence[OrderLine], week: int, on: datetime.date
) -> datetime.date:
    """The first day in the week, or after it, on which one of its lines is needed.

    Its start where a line has waited since before, or as soon as it can be here; `begun` came with an earlier delivery.
    """
    starts = on + datetime.timedelta(days=7 * week)
    waits = [line for line, _ in lines if line not in begun and any(_is_due(need, starts) for need in line.needs)]
    days = [need.needed_on for line, _ in lines for need in line.needs if not _is_due(need, starts)]
    return starts if waits else min(days, default=starts)


def _is_due(need: PackNeed, starts: datetime.date) -> bool:
    return need.needed_on is None or need.needed_on < starts


def first_order(
    lines: Sequence[OrderLine], buying: Buying | None, on: datetime.date
) -> tuple[list[tuple[OrderLine, int]], datetime.date]:
    """The lines and packs of the draft, and the day they are wanted: the first of need, or the soonest after it."""
    first = buying.deliveries[0] if buying else None
    others = [line for line in lines if first is None or line.each is None]
    wanted = [*(first.lines if first else ()), *((line, line.packs) for line in others)]
    lead = max((line.lead_days or 0 for line, _ in wanted), default=0)
    soonest = on + datetime.timedelta(days=lead)
    needed = [first.comes_by] if first else []
    needed += [line.needed_on or soonest for line in others]
    return wanted, max(soonest, min(needed, default=soonest))
