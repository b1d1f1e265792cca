"""Cloth that must be bought: for what jobs lack, for the minimum kept, for repairs and for jobs that may come."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from django.db.models import Q, QuerySet

from .arrivals import Arrival, cloth_on_its_way
from .calc.order_lines import RollsToBuy, rolls_to_buy
from .calc.units import format_length
from .demand import ClothShortage, ClothUse, QuotedCuts
from .may_come import (
    MayCome,
    Wrong,
    cloth_quoted,
    cost_of_cloth,
    rolls_may_come,
    sure_and_free_mm,
)
from .models import Reinforcement, Roll, Shop
from .on_racks import free_length, in_date
from .queries import usable_rolls
from .sizes_sold import currency_of, price_breaks
from .to_order_line import OrderLine, PackNeed, lead_days_of, minimum_words, order_by_of, soonest_of
from .unplanned import Unplanned, unplanned_cloth
from .wanted import Wanted


def with_free_length(reinforcements: QuerySet[Reinforcement], on: datetime.date) -> QuerySet[Reinforcement]:
    """Annotate `free_mm`: free on full-width rolls that may be cut on a day; offcuts do not count towards a minimum."""
    full_rolls = usable_rolls().filter(kind=Roll.Kind.ROLL)
    return reinforcements.annotate(free_mm=free_length(in_date(full_rolls, on)))


@dataclass(frozen=True)
class Coming:
    """What is ordered already, by reinforcement, and what jobs take of cloth, to date what is needed."""

    cloth: list[Arrival]
    uses: Sequence[ClothUse]
    cuts: Sequence[QuotedCuts] = ()

    def length_mm(self, pk: int) -> int:
        return sum(roll.count * roll.length_mm for roll in self.cloth if roll.reinforcement_id == pk)

    def new_rolls(self, pk: int) -> list[PackNeed]:
        return [
            PackNeed(use.new_rolls, use.needed_on)
            for use in self.uses
            if use.reinforcement_id == pk and use.new_rolls and not use.is_quoted
        ]


def cloth_lines(wanted: Wanted, on: datetime.date, shop: Shop) -> Iterable[OrderLine]:
    short: dict[int, list[ClothShortage]] = {}
    for shortage in wanted.shortages:
        short.setdefault(shortage.reinforcement_id, []).append(shortage)
    quoted = {use.reinforcement_id for use in wanted.uses if use.is_quoted}
    coming, repairs = Coming(cloth_on_its_way(on), wanted.uses, wanted.quoted_cuts), unplanned_cloth(on)
    kinds = with_free_length(Reinforcement.objects.select_related("supplier").prefetch_related("offers"), on)
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
        shown = partial(format_length, system=shop.units)
        reasons.append(minimum_words(shown(kind.minimum_mm), f"free now {shown(kind.free_mm)}", coming_mm, shown))
    if bought.for_minimum and repairs_mm:
        used = format_length(repairs_mm, shop.units)
        reasons.append(f"Repairs until an order comes, {lead_days} days: {used}. {repairs.words}")
    if may_be.packs:
        currency, shown = currency_of(kind.supplier, shop), partial(format_length, system=shop.units)
        reasons.append(may_be.reason("roll", currency, shown))
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
    coming = Coming(cloth_on_its_way(on), wanted.uses, wanted.quoted_cuts)
    return _cloth_may_come(kind, shortages, coming, wrong, on)


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
    there_mm = max(0, sure_and_free_mm(kind, on) + coming.length_mm(kind.pk) - planned_mm)
    over_mm = sum(short.rolls * kind.roll_length_mm - short.length_mm for short in shortages if short.rolls)
    left_mm, soonest = max(0, there_mm + max(0, over_mm) - minimum_mm), soonest_of(kind, on)
    cuts = next((cuts for cuts in coming.cuts if cuts.reinforcement_id == kind.pk), None)
    return rolls_may_come(quoted, cuts, roll_mm=kind.roll_length_mm, left=left_mm, wrong=wrong, soonest=soonest)


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
