"""Resin, gelcoat, hardener and catalyst that must be bought, in the drums and pails that cost least."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from django.db.models import Q

from . import demand
from .arrivals import ResinArrival, resin_on_its_way
from .calc.issue_order import Need, Stock, issue
from .calc.kept_stock import fresh
from .calc.order_lines import PacksToBuy, packs_to_buy
from .calc.units import format_mass
from .demand import ResinNeed
from .expiry import as_stock
from .may_come import (
    MayCome,
    cost_of_resin,
    packs_may_come,
    resin_quoted,
)
from .models import Chemical, Shop
from .queries import open_containers
from .sizes_sold import currency_of, packs_sold
from .to_order_line import OrderLine, soonest_of
from .to_order_minimum import ForMinimum, drawn_in_a_life, for_minimum
from .to_order_packs import Packs, line_of_packs, packs_for_sale, packs_of
from .wanted import Wanted


def planned_needs(on: datetime.date) -> dict[int, list[Need]]:
    """What planned jobs need of each product."""
    return by_product(demand.resin_needs(on), on)


def by_product(wanted: Iterable[ResinNeed], on: datetime.date) -> dict[int, list[Need]]:
    """A day that has gone by counts as today, for dates that ended since."""
    needs: dict[int, list[Need]] = {}
    for need in wanted:
        day = max(need.needed_on, on)
        needs.setdefault(need.chemical_id, []).append(Need(need.mass_g, day, need.job))
    return needs


def resin_lines(wanted: Wanted, on: datetime.date, shop: Shop) -> Iterable[OrderLine]:
    for bought in to_buy(wanted, on):
        for order, packs in bought.for_jobs:
            yield _line_for_jobs(bought.product, order, packs, on, shop)
        for kept in bought.for_minimum:
            yield from kept.lines(on, shop)
        may_be = bought.may_come(wanted.quoted_resin, on, shop)
        if may_be.packs:
            yield from _lines_for_quotes(bought.product, may_be, on, shop)


@dataclass(frozen=True)
class ToBuy:
    """One product: its stock, what planned jobs leave of each container, and what is bought for them and to keep.

    `over` is what that holds beyond what jobs lack, from the day it comes.
    """

    product: Chemical
    stock: Sequence[Stock]
    left_g: Mapping[str, int]
    for_jobs: Sequence[tuple[PacksToBuy, Packs]]
    for_minimum: Sequence[ForMinimum]
    over: Sequence[Stock]

    def may_come(self, needs: Iterable[ResinNeed], on: datetime.date, shop: Shop) -> MayCome:
        """What planned jobs leave beyond the minimum, there for the first quoted job and in date for the last, is used
        before a pack is bought."""
        quoted = resin_quoted(self.product, needs, on)
        last_on = max((quote.needed_on for quote in quoted), default=on)
        first_on = min((quote.needed_on for quote in quoted), default=on)
        spare = [*(replace(item, mass_g=self.left_g[item.code]) for item in self.stock), *self.over]
        there_g = sum(item.mass_g for item in spare if item.received_on <= first_on and item.expires_on >= last_on)
        left = max(0, there_g - self.product.minimum_g)
        wrong, soonest = cost_of_resin(self.product, shop), soonest_of(self.product, on)
        sizes = packs_for_sale(self.product)
        return packs_may_come(quoted, sizes, left=left, wrong=wrong, soonest=soonest)


def to_buy(wanted: Wanted, on: datetime.date, only: Collection[int] | None = None) -> list[ToBuy]:
    """Every product that jobs want or of which a minimum is kept, or those asked for."""
    needs = by_product(wanted.resin, on)
    wished = Q(pk__in={*needs, *(need.chemical_id for need in wanted.quoted_resin)}) | Q(minimum_g__gt=0)
    found = Chemical.objects.filter(wished if only is None else Q(pk__in=only))
    products = list(found.select_related("supplier").prefetch_related("offers"))
    stock = resin_stock([product.pk for product in products], on)
    drawn = drawn_in_a_life([product for product in products if product.minimum_g], on)
    return [_to_buy(item, needs.get(item.pk, []), stock[item.pk], drawn.get(item.pk, 0), on) for item in products]


def _to_buy(product: Chemical, needs: Sequence[Need], stock: Sequence[Stock], drawn_g: int, on: datetime.date) -> ToBuy:
    plan, life = issue(needs, stock), product.shelf_life_days
    orders = packs_to_buy(plan.short, pack_g=product.pack_g, shelf_life_days=life)
    packs = [packs_of(product, order) for order in orders]
    brought = [_content_g(order, some) for order, some in zip(orders, packs, strict=True)]
    for_jobs = [(order, one) for order, some in zip(orders, packs, strict=True) for one in some]
    over = [
        fresh("over", mass_g - order.mass_g, order.needed_on, life)
        for order, mass_g in zip(orders, brought, strict=True)
    ]
    kept: list[ForMinimum] = []
    if product.minimum_g:
        bought = [
            fresh(f"for jobs {number}", mass_g, order.needed_on, life)
            for number, (order, mass_g) in enumerate(zip(orders, brought, strict=True))
        ]
        kept = for_minimum(product, needs, stock, bought, drawn_g, on)
        over += [fresh("kept", one.content_g, one.day, life) for one in kept]
    return ToBuy(product, stock, plan.left_g, for_jobs, kept, over)


def _content_g(order: PacksToBuy, packs: Sequence[Packs]) -> int:
    """What the packs of an order bring; the bare need where no pack is known."""
    return sum(one.count * one.content_g for one in packs if one.count) or order.mass_g


def resin_may_come(product: Chemical, on: datetime.date) -> MayCome:
    """Quoted jobs of one product, and what each number of packs for them is expected to cost."""
    wanted = Wanted((), (), demand.resin_needs(on), demand.quoted_resin(on))
    (found,) = to_buy(wanted, on, only=[product.pk])
    return found.may_come(wanted.quoted_resin, on, Shop.current())


def _lines_for_quotes(product: Chemical, may_be: MayCome, on: datetime.date, shop: Shop) -> Iterable[OrderLine]:
    reason = may_be.reason("pack", currency_of(product.supplier, shop), partial(format_mass, system=shop.units))
    prices = {size.content_g: size.prices for size in packs_sold(product)}
    for content_g, count in may_be.best.packs:
        packs = Packs(count, content_g, prices.get(content_g, ()))
        yield line_of_packs(product, packs, (reason,), may_be.needed_on, on, shop, missing_g=0)


def _line_for_jobs(product: Chemical, order: PacksToBuy, packs: Packs, on: datetime.date, shop: Shop) -> OrderLine:
    missing = format_mass(order.mass_g, shop.units)
    reason = f"{', '.join(order.purposes)}: {missing} short"
    return line_of_packs(product, packs, (reason,), order.needed_on, on, shop, missing_g=order.mass_g)


def resin_stock(chemical_ids: Collection[int], on: datetime.date) -> dict[int, list[Stock]]:
    """Containers in the store and packs on their way, which live from the day they come for as long as when bought."""
    stock: dict[int, list[Stock]] = {pk: [] for pk in chemical_ids}
    for container in open_containers().filter(chemical__in=stock):
        stock[container.chemical_id].append(as_stock(container))
    lives = dict(Chemical.objects.filter(pk__in=stock).values_list("pk", "shelf_life_days"))
    coming: dict[tuple[int, str], list[ResinArrival]] = {}  # drums and pails of one order come together
    for packs in resin_on_its_way(on):
        coming.setdefault((packs.chemical_id, packs.order_number), []).append(packs)
    for (chemical_id, _), arrivals in coming.items():
        if chemical_id in stock:
            stock[chemical_id].append(_coming_stock(arrivals, lives[chemical_id]))
    return stock


def _coming_stock(arrivals: Sequence[ResinArrival], life_days: int | None) -> Stock:
    first = arrivals[0]
    mass_g = sum(packs.count * packs.pack_g for packs in arrivals)
    return fresh(f"order {first.order_number}", mass_g, first.expected_on, life_days)
