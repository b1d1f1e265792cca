"""What is to be bought beyond today's list when another job is taken, and how much more the cheapest way costs."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shopstock.buying import Buying, buying_of
from shopstock.models import Shop, Supplier
from shopstock.sizes_sold import currency_of
from shopstock.to_order_line import OrderLine


@dataclass(frozen=True)
class MoreToBuy:
    """Rolls or packs that the order list would hold beyond what it holds today."""

    line: OrderLine
    packs: int

    @property
    def words(self) -> str:
        return f"{self.packs} {self.line.pack_name}{'' if self.packs == 1 else 's'} of {self.line.amount}"


@dataclass(frozen=True)
class MoreFrom:
    """What one supplier would get more; `cost` is None when a price, a pack or the supplier is not known."""

    supplier: Supplier | None
    lines: Sequence[MoreToBuy]
    currency: str
    cost: Decimal | None
    method: str = ""

    @property
    def proved(self) -> bool:
        return not self.method


def more_to_buy(
    before: Sequence[OrderLine], after: Sequence[OrderLine], on: datetime.date, shop: Shop
) -> list[MoreFrom]:
    """By supplier, what is to be bought beyond today's list, and how much more the cheapest way to buy all costs."""
    had: dict = {}
    for line in before:
        had[line.material] = had.get(line.material, 0) + (line.packs or 0)
    more: dict[Supplier | None, list[MoreToBuy]] = {}
    for material in dict.fromkeys(line.material for line in after):
        lines = [line for line in after if line.material == material]
        packs = sum(line.packs or 0 for line in lines) - had.get(material, 0)
        if packs > 0:
            more.setdefault(lines[0].supplier, []).append(MoreToBuy(lines[-1], packs))
    return [_more_from(supplier, lines, before, after, on, shop) for supplier, lines in more.items()]


def _more_from(
    supplier: Supplier | None,
    lines: Sequence[MoreToBuy],
    before: Sequence[OrderLine],
    after: Sequence[OrderLine],
    on: datetime.date,
    shop: Shop,
) -> MoreFrom:
    currency = currency_of(supplier, shop)
    found = MoreFrom(supplier, lines, currency, None)
    if supplier is None or any(more.line.each is None for more in lines):
        return found
    first, then = (_buying(supplier, of, on, shop) for of in (before, after))
    if then is None:
        return found
    doubt = next((buying.method for buying in (first, then) if buying is not None and not buying.proved), "")
    return replace(found, cost=then.cost - (first.cost if first else Decimal(0)), method=doubt)


def _buying(supplier: Supplier, lines: Sequence[OrderLine], on: datetime.date, shop: Shop) -> Buying | None:
    return buying_of(supplier, [line for line in lines if line.supplier == supplier], on, shop)
