"""Resin, gelcoat, hardener and catalyst that must be bought, in the drums and pails that cost least."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from . import demand
from .arrivals import ResinArrival, resin_on_its_way
from .calc.issue_order import Need, Stock, issue
from .calc.order_lines import PacksToBuy, cheapest_packs, packs_to_buy
from .calc.units import format_mass
from .demand import ResinNeed
from .expiry import as_stock
from .may_come import (
    MayCome,
    cost_of_resin,
    may_come,
    resin_quoted,
)
from .models import Chemical, Shop
from .queries import open_containers
from .sizes_sold import PriceBreaks, currency_of, packs_sold, price_breaks
from .to_order_line import LONGEST_LEAD_DAYS, OrderLine, PackNeed, lead_days_of, order_by_of, soonest_of
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
    needs, quoted = by_product(wanted.resin, on), wanted.quoted_resin
    products = {*needs, *(need.chemical_id for need in quoted)}
    stock = resin_stock(products, on)
    for chemical in Chemical.objects.filter(pk__in=products).select_related("supplier").prefetch_related("offers"):
        left_g, orders, packs = _for_planned(chemical, needs.get(chemical.pk, []), stock[chemical.pk])
        for bought, pack in packs:
            yield _resin_line(chemical, bought, pack, on, shop)
        may_be = _resin_may_come(chemical, quoted, left_g, _over_g(orders, packs), stock[chemical.pk], on, shop)
        if may_be.packs:
            yield _resin_line_for_quotes(chemical, may_be, on, shop)


@dataclass(frozen=True)
class _Packs:
    """So many packs of one content, None where no content is known, and their prices by number."""

    count: int | None
    content_g: int | None
    prices: PriceBreaks = ()


def _packs_of(product: Chemical, bought: PacksToBuy) -> list[_Packs]:
    """The drums and pails that cover it for the least money; of the catalogue's pack where no price is known."""
    sizes = {size.content_g: size for size in packs_sold(product)}
    if not sizes:
        return [_Packs(bought.packs, product.pack_g)]
    counts = cheapest_packs(bought.mass_g, list(sizes.values()))
    return [_Packs(count, content_g, sizes[content_g].prices) for content_g, count in counts.items()]


def _for_planned(
    product: Chemical, needs: Sequence[Need], stock: Sequence[Stock]
) -> tuple[Mapping[str, int], list[PacksToBuy], list[tuple[PacksToBuy, _Packs]]]:
    """What planned jobs leave of each container (g), what must be bought for them, and the packs that cover it."""
    found = issue(needs, stock)
    orders = packs_to_buy(found.short, pack_g=product.pack_g, shelf_life_days=product.shelf_life_days)
    return found.left_g, orders, [(bought, packs) for bought in orders for packs in _packs_of(product, bought)]


def _over_g(orders: Sequence[PacksToBuy], packs: Sequence[tuple[PacksToBuy, _Packs]]) -> int:
    """What whole packs bring beyond the need."""
    brought_g = sum(pack.count * pack.content_g for _, pack in packs if pack.count)
    return max(0, brought_g - sum(bought.mass_g for bought in orders))


def resin_may_come(product: Chemical, on: datetime.date) -> MayCome:
    """Quoted jobs of one product, and what each number of packs for them is expected to cost."""
    stock = resin_stock([product.pk], on)[product.pk]
    left_g, orders, packs = _for_planned(product, planned_needs(on).get(product.pk, []), stock)
    return _resin_may_come(product, demand.quoted_resin(on), left_g, _over_g(orders, packs), stock, on, Shop.current())


def _resin_may_come(
    product: Chemical,
    needs: Iterable[ResinNeed],
    left_g: Mapping[str, int],
    over_g: int,
    stock: Sequence[Stock],
    on: datetime.date,
    shop: Shop,
) -> MayCome:
    """What planned jobs leave, in date when the last quoted job is to be made, is there before a pack is bought."""
    quoted = resin_quoted(product, needs, on)
    last_on = max((quote.needed_on for quote in quoted), default=on)
    first_on = min((quote.needed_on for quote in quoted), default=on)
    lasting = [item for item in stock if item.received_on <= first_on and item.expires_on >= last_on]
    left = over_g + sum(left_g[item.code] for item in lasting)
    wrong, soonest = cost_of_resin(product, shop), soonest_of(product, on)
    return may_come(quoted, size=product.pack_g, left=left, wrong=wrong, soonest=soonest)


def _resin_line_for_quotes(chemical: Chemical, may_be: MayCome, on: datetime.date, shop: Shop) -> OrderLine:
    reason = may_be.reason("pack", currency_of(chemical.supplier, shop))
    bought = PacksToBuy(may_be.packs * chemical.pack_g, may_be.packs, may_be.needed_on, ())
    prices = price_breaks(chemical, chemical.supplier, chemical.price_per_pack, pack_g=chemical.pack_g)
    packs = _Packs(may_be.packs, chemical.pack_g, prices)
    return replace(_resin_line(chemical, bought, packs, on, shop), reasons=(reason,))


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
    days = LONGEST_LEAD_DAYS if life_days is None else min(life_days, LONGEST_LEAD_DAYS)
    first = arrivals[0]
    mass_g = sum(packs.count * packs.pack_g for packs in arrivals)
    ends = first.expected_on + datetime.timedelta(days=days)
    return Stock(f"order {first.order_number}", mass_g, ends, False, first.expected_on)


def _resin_line(chemical: Chemical, bought: PacksToBuy, packs: _Packs, on: datetime.date, shop: Shop) -> OrderLine:
    lead_days = lead_days_of(chemical)
    missing = format_mass(bought.mass_g, shop.units)
    return OrderLine(
        supplier=chemical.supplier,
        item=chemical.name,
        page="chemical",
        page_arg=chemical.pk,
        pack_name="pack",
        packs=packs.count,
        amount=missing if packs.count is None else format_mass(packs.content_g, shop.units),
        reasons=(f"{', '.join(bought.purposes)}: {missing} short",),
        needed_on=bought.needed_on,
        order_by=order_by_of(bought.needed_on, lead_days, on),
        lead_days=lead_days,
        price=None if packs.content_g != chemical.pack_g else chemical.price_per_pack,
        material=chemical,
        needs=(PackNeed(packs.count, bought.needed_on),) if packs.count else (),
        breaks=packs.prices,
        pack_g=packs.content_g,
    )
