"""What must be bought, for whom and until when it can be ordered: reads that Today and the ordering page share."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from . import demand
from .arrivals import Arrival, ResinArrival, cloth_on_its_way, resin_on_its_way
from .calc.issue_order import Need, Stock, issue
from .calc.netting import OrderBy, last_day_to_order
from .calc.order_lines import PacksToBuy, RollsToBuy, cheapest_packs, packs_to_buy, rolls_to_buy
from .calc.units import format_length, format_mass
from .demand import ClothShortage, ClothUse, ResinNeed
from .expiry import as_stock
from .may_come import (
    MayCome,
    Wrong,
    cloth_quoted,
    cost_of_cloth,
    cost_of_resin,
    may_come,
    resin_quoted,
    sure_and_free_mm,
)
from .models import Chemical, Reinforcement, Roll, Shop, Supplier
from .models.roll import STILL_OPEN
from .queries import open_containers
from .sizes_sold import PriceBreaks, currency_of, packs_sold, price_breaks
from .unplanned import Unplanned, unplanned_cloth

LONGEST_LEAD_DAYS = 3650  # a longer one is a slip, and would lead to a day before the calendar


@dataclass(frozen=True)
class PackNeed:
    """So many rolls or packs needed by a day; without a day they are for the minimum, as soon as they can be here."""

    packs: int
    needed_on: datetime.date | None


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy. `packs` is None when the pack as sold is not known, 0 when buying is no help."""

    supplier: Supplier | None
    item: str
    page: str
    page_arg: int
    pack_name: str
    packs: int | None
    amount: str
    reasons: tuple[str, ...]
    needed_on: datetime.date | None
    order_by: OrderBy | None
    lead_days: int | None
    price: Decimal | None
    material: Reinforcement | Chemical | None = None
    needs: tuple[PackNeed, ...] = ()
    breaks: tuple[tuple[int, Decimal], ...] = ()  # (from so many, price of one), the first from 1
    pack_g: int | None = None  # of a drum or pail

    @property
    def each(self) -> Decimal | None:
        """The price of one when so many are bought at once."""
        reached = [price for least, price in self.breaks if least <= (self.packs or 1)]
        return reached[-1] if reached else self.price

    @property
    def cost(self) -> Decimal | None:
        return None if self.each is None or self.packs is None else self.each * self.packs

    @property
    def days_late(self) -> int:
        return self.order_by.days_late if self.order_by else 0

    @property
    def buy(self) -> str:
        """ "2 rolls of 50.00 m", "30.00 kg; pack size not known"."""
        if self.packs is None:
            return f"{self.amount}; pack size not known"
        if self.packs == 0:
            return "nothing: a new roll does not help"
        return f"{self.packs} {self.pack_name}{'' if self.packs == 1 else 's'} of {self.amount}"

    @property
    def summary(self) -> str:
        """One line of text: what, how much, for what and until when."""
        until = f"; order by {self.order_by.day}" if self.order_by else ""
        late = f", {self.days_late} days late" if self.days_late else ""
        return f"{self.item}: {self.buy} ({'. '.join(self.reasons)}){until}{late}"


@dataclass(frozen=True)
class Wanted:
    """What jobs want of the storeroom: as it stands now, or as it would be with another job."""

    shortages: Sequence[ClothShortage]
    uses: Sequence[ClothUse]
    resin: Sequence[ResinNeed]
    quoted_resin: Sequence[ResinNeed]

    @classmethod
    def now(cls, on: datetime.date) -> "Wanted":
        shortages = demand.cloth_shortages(on)
        uses = demand.cloth_uses(on) if shortages or demand.quoted_cloth(on) else []
        return cls(shortages, uses, demand.resin_needs(on), demand.quoted_resin(on))


def order_lines(on: datetime.date, wanted: Wanted | None = None) -> list[OrderLine]:
    """Everything to buy, the most pressing first; below the minimum without a date counts as today."""
    shop, wanted = Shop.current(), wanted or Wanted.now(on)
    lines = [*_cloth_lines(wanted, on, shop), *_resin_lines(wanted, on, shop)]
    return sorted(lines, key=lambda line: (_last_day(line, on), line.item))


def _last_day(line: OrderLine, on: datetime.date) -> datetime.date:
    if line.order_by:
        return line.order_by.day
    return line.needed_on or on


def with_free_length(reinforcements: QuerySet[Reinforcement]) -> QuerySet[Reinforcement]:
    """Annotate `free_mm`: free on full-width rolls that may be used; offcuts do not count towards a minimum."""
    counted = Roll.objects.filter(
        reinforcement=OuterRef("pk"), closed_on=STILL_OPEN, condition=Roll.Condition.USABLE, kind=Roll.Kind.ROLL
    )
    free = Sum(F("length_mm") - F("set_aside_mm") - F("faulty_mm"))
    total = counted.order_by().values("reinforcement").annotate(free=free).values("free")
    return reinforcements.annotate(free_mm=Coalesce(Subquery(total), 0))


@dataclass(frozen=True)
class Coming:
    """What is ordered already, by reinforcement, and the uses that jobs make of cloth, to date what is needed."""

    cloth: list[Arrival]
    uses: Sequence[ClothUse]

    def length_mm(self, pk: int) -> int:
        return sum(roll.count * roll.length_mm for roll in self.cloth if roll.reinforcement_id == pk)

    def new_rolls(self, pk: int) -> list[PackNeed]:
        return [
            PackNeed(use.new_rolls, use.needed_on)
            for use in self.uses
            if use.reinforcement_id == pk and use.new_rolls and not use.is_quoted
        ]


def _cloth_lines(wanted: Wanted, on: datetime.date, shop: Shop) -> Iterable[OrderLine]:
    short: dict[int, list[ClothShortage]] = {}
    for shortage in wanted.shortages:
        short.setdefault(shortage.reinforcement_id, []).append(shortage)
    quoted = {use.reinforcement_id for use in wanted.uses if use.is_quoted}
    coming, repairs = Coming(cloth_on_its_way(on), wanted.uses), unplanned_cloth(on)
    kinds = with_free_length(Reinforcement.objects.select_related("supplier").prefetch_related("offers"))
    for kind in kinds.filter(Q(pk__in=quoted.union(short, repairs)) | Q(active=True, minimum_mm__gt=0)):
        line = _cloth_line(kind, short.get(kind.pk, []), coming, repairs.get(kind.pk), on, shop)
        if line:
            yield line


def _cloth_line(
    kind,
    shortages: list[ClothShortage],
    coming: Coming,
    repairs: Unplanned | None,
    on: datetime.date,
    shop: Shop,
) -> OrderLine | None:
    coming_mm, lead_days = coming.length_mm(kind.pk), lead_days_of(kind)
    kept_mm = kind.minimum_mm if kind.active else 0
    repairs_mm = round(repairs.a_day * (lead_days or 0)) if repairs else 0
    bought = rolls_to_buy(
        job_rolls=sum(shortage.rolls for shortage in shortages),
        job_short_mm=sum(shortage.length_mm for shortage in shortages if shortage.rolls),
        free_mm=kind.free_mm + coming_mm,
        minimum_mm=kept_mm + repairs_mm,
        roll_length_mm=kind.roll_length_mm,
    )
    may_be = _cloth_may_come(kind, shortages, coming, cost_of_cloth(kind, shop), on)
    rolls = bought.rolls + may_be.packs
    if not shortages and not rolls:
        return None
    reasons = [_shortage_words(shortage) for shortage in shortages]
    if bought.for_minimum:
        kept, free = format_length(kind.minimum_mm, shop.units), format_length(kind.free_mm, shop.units)
        ordered = f", {format_length(coming_mm, shop.units)} on its way" if coming_mm else ""
        reasons.append(f"Keep at least {kept}; free now {free}{ordered}")
    if bought.for_minimum and repairs_mm:
        used = format_length(repairs_mm, shop.units)
        reasons.append(f"Repairs until an order comes, {lead_days} days: {used}. {repairs.words}")
    if may_be.packs:
        reasons.append(may_be.reason("roll", currency_of(kind.supplier, shop)))
    needed_on = min((shortage.needed_on for shortage in shortages), default=None)
    first_on = needed_on or (may_be.needed_on if may_be.packs and not bought.for_minimum else None)
    return OrderLine(
        supplier=kind.supplier,
        item=kind.name,
        page="reinforcement",
        page_arg=kind.pk,
        pack_name="roll",
        packs=rolls,
        amount=format_length(kind.roll_length_mm, shop.units),
        reasons=tuple(reasons),
        needed_on=first_on,
        order_by=order_by_of(first_on, lead_days, on) if rolls else None,
        lead_days=lead_days,
        price=kind.price_per_roll,
        material=kind,
        needs=(*_roll_needs(bought, coming.new_rolls(kind.pk), needed_on), *_needs_of(may_be)),
        breaks=price_breaks(
            kind, kind.supplier, kind.price_per_roll, width_mm=kind.width_mm, length_mm=kind.roll_length_mm
        ),
    )


def cloth_may_come(kind: Reinforcement, on: datetime.date, wrong: Wrong | None) -> MayCome:
    """Quoted jobs of one reinforcement, and what each number of rolls for them is expected to cost."""
    wanted = Wanted.now(on)
    shortages = [short for short in wanted.shortages if short.reinforcement_id == kind.pk]
    return _cloth_may_come(kind, shortages, Coming(cloth_on_its_way(on), wanted.uses), wrong, on)


def _cloth_may_come(
    kind: Reinforcement,
    shortages: Sequence[ClothShortage],
    coming: Coming,
    wrong: Wrong | None,
    on: datetime.date,
) -> MayCome:
    """What planned jobs leave, beyond the minimum, is there for quoted ones before a roll is bought for them."""
    quoted = cloth_quoted(kind, coming.uses)
    if not quoted:
        return MayCome()
    planned_mm = sum(
        use.here_mm + use.coming_mm
        for use in coming.uses
        if use.reinforcement_id == kind.pk and not use.is_quoted and not use.set_aside
    )
    minimum_mm = kind.minimum_mm if kind.active else 0
    there_mm = max(0, sure_and_free_mm(kind) + coming.length_mm(kind.pk) - planned_mm - minimum_mm)
    over_mm = sum(short.rolls * kind.roll_length_mm - short.length_mm for short in shortages if short.rolls)
    left_mm, soonest = there_mm + max(0, over_mm), soonest_of(kind, on)
    return may_come(quoted, size=kind.roll_length_mm, left=left_mm, wrong=wrong, soonest=soonest)


def _needs_of(may_be: MayCome) -> tuple[PackNeed, ...]:
    return (PackNeed(may_be.packs, may_be.needed_on),) if may_be.packs else ()


def _roll_needs(bought: RollsToBuy, dated: Sequence[PackNeed], needed_on: datetime.date | None) -> tuple[PackNeed, ...]:
    """When each roll is needed: as jobs begin them, never more than the planner found to be enough."""
    left, needs = bought.for_jobs, []
    for need in dated:
        packs = min(left, need.packs)
        left -= packs
        needs += [PackNeed(packs, need.needed_on)] if packs else []
    needs += [PackNeed(left, needed_on)] if left else []
    return (*needs, *([PackNeed(bought.for_minimum, None)] if bought.for_minimum else []))


def _shortage_words(shortage: ClothShortage) -> str:
    pieces = "1 piece" if shortage.pieces == 1 else f"{shortage.pieces} pieces"
    return f"{', '.join(shortage.for_jobs)}: {pieces} short; {shortage.reason}"


def lead_days_of(material: Reinforcement | Chemical) -> int | None:
    """The material's own lead time, else its supplier's, at most ten years; None when nobody said."""
    own = material.lead_time_days
    days = own if own is not None else material.supplier and material.supplier.lead_time_days
    return None if days is None else min(days, LONGEST_LEAD_DAYS)


def soonest_of(material: Reinforcement | Chemical, on: datetime.date) -> datetime.date | None:
    """When it would be here if it were ordered today; None when nobody said how long it takes."""
    lead_days = lead_days_of(material)
    return None if lead_days is None else on + datetime.timedelta(days=lead_days)


def order_by_of(needed_on: datetime.date | None, lead_days: int | None, on: datetime.date) -> OrderBy | None:
    if needed_on is None or lead_days is None:
        return None
    return last_day_to_order(needed_on, lead_days, on=on)


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


def _resin_lines(wanted: Wanted, on: datetime.date, shop: Shop) -> Iterable[OrderLine]:
    needs, quoted = by_product(wanted.resin, on), wanted.quoted_resin
    products = {*needs, *(need.chemical_id for need in quoted)}
    stock = resin_stock(products, on)
    for chemical in Chemical.objects.filter(pk__in=products).select_related("supplier").prefetch_related("offers"):
        found = issue(needs.get(chemical.pk, []), stock[chemical.pk])
        orders = packs_to_buy(found.short, pack_g=chemical.pack_g, shelf_life_days=chemical.shelf_life_days)
        packs = [(bought, pack) for bought in orders for pack in _packs_of(chemical, bought)]
        for bought, pack in packs:
            yield _resin_line(chemical, bought, pack, on, shop)
        may_be = _resin_may_come(chemical, quoted, found.left_g, _over_g(orders, packs), stock[chemical.pk], on, shop)
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


def _over_g(orders: Sequence[PacksToBuy], packs: Sequence[tuple[PacksToBuy, _Packs]]) -> int:
    """What whole packs bring beyond the need."""
    brought_g = sum(pack.count * pack.content_g for _, pack in packs if pack.count)
    return max(0, brought_g - sum(bought.mass_g for bought in orders))


def resin_may_come(product: Chemical, on: datetime.date) -> MayCome:
    """Quoted jobs of one product, and what each number of packs for them is expected to cost."""
    stock = resin_stock([product.pk], on)[product.pk]
    found = issue(planned_needs(on).get(product.pk, []), stock)
    orders = packs_to_buy(found.short, pack_g=product.pack_g, shelf_life_days=product.shelf_life_days)
    packs = [(bought, pack) for bought in orders for pack in _packs_of(product, bought)]
    return _resin_may_come(
        product, demand.quoted_resin(on), found.left_g, _over_g(orders, packs), stock, on, Shop.current()
    )


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
