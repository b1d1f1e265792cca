"""What is to be bought beyond today's list when another job is taken, and how much more the cheapest way costs."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shopstock.buying import Buying, buying_of
from shopstock.models import Shop, Supplier
from shopstock.sizes_sold import currency_of
from shopstock.to_order_line import OrderLine


@dataclass(frozen=True)
class MoreToBuy:
    """Rolls or packs of one size that the order list would hold beyond what it holds today; fewer are below zero.

    With 0 they are as many, to be ordered sooner. Without packs it is a mass, of which nobody said in what it is sold.
    """

    line: OrderLine
    packs: int | None

    @property
    def is_fewer(self) -> bool:
        return self.packs is not None and self.packs < 0

    @property
    def words(self) -> str:
        if self.packs is None:
            return f"{self.line.amount} in all; pack size not known"
        if self.packs == 0:
            return "no more than without it, but sooner"
        count = abs(self.packs)
        words = f"{count} {self.line.pack_name}{'' if count == 1 else 's'} of {self.line.amount}"
        return f"{words} fewer" if self.is_fewer else words


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
    had, then = _by_size(before), _by_size(after)
    more: dict[Supplier | None, list[MoreToBuy]] = {}
    for size, lines in (had | then).items():
        packs = _packs(then.get(size, ())) - _packs(had.get(size, ()))
        if lines[-1].packs is None and lines != had.get(size):
            more.setdefault(lines[0].supplier, []).append(MoreToBuy(lines[-1], None))
            continue
        today = had.get(size, ())
        line = _most_pressing(lines, today)
        if packs or _is_sooner(line, today):
            more.setdefault(lines[0].supplier, []).append(MoreToBuy(line, packs))
    return [
        _more_from(
            supplier, sorted(lines, key=lambda more: (more.line.item, -(more.packs or 0))), before, after, on, shop
        )
        for supplier, lines in more.items()
    ]


def _most_pressing(lines: Sequence[OrderLine], had: Sequence[OrderLine]) -> OrderLine:
    """Of those that are not on today's list as they are; one for the minimum may have no day to order it by."""
    new = [line for line in lines if line not in had] or lines
    return next((line for line in new if line.order_by), new[0])


def _is_sooner(line: OrderLine, had: Sequence[OrderLine]) -> bool:
    """Than any on today's list; what has no day to order it by is ordered at once anyway."""
    if not had or line.order_by is None:
        return False
    return all(old.order_by and line.order_by.day < old.order_by.day for old in had)


def _by_size(lines: Iterable[OrderLine]) -> dict[tuple, list[OrderLine]]:
    """By material, and for a product by what a pack holds."""
    found: dict[tuple, list[OrderLine]] = {}
    for line in lines:
        found.setdefault((line.material, line.pack_g), []).append(line)
    return found


def _packs(lines: Iterable[OrderLine]) -> int:
    return sum(line.packs or 0 for line in lines)


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
