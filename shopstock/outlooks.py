"""The outlook of each material: what is there for sure, what takes from it and what comes, and when it fails first."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from . import demand
from .arrivals import Arrival, cloth_on_its_way
from .calc.issue_order import Stock, issue
from .calc.netting import OrderBy
from .calc.outlook import COMES, DIES, MAY_COME, SHORT, TAKEN, Event, Outlook, Point, outlook
from .calc.units import format_length, format_mass
from .demand import ClothShortage, ClothUse, LeastBlank
from .models import Chemical, Reinforcement, Shop
from .on_racks import on_racks
from .to_order_line import lead_days_of, order_by_of
from .to_order_resin import planned_needs, resin_stock
from .unplanned import Unplanned, unplanned_use

LEAST_DAYS, MOST_DAYS = 84, 365


@dataclass(frozen=True)
class Failing:
    """The first day on which a material fails, which jobs it stops, and until when it can be ordered."""

    on: datetime.date
    jobs: tuple[str, ...]
    order_by: OrderBy | None
    why: str = ""


@dataclass(frozen=True)
class MaterialOutlook:
    """`material` with its outlook; amounts in mm or g."""

    material: Reinforcement | Chemical
    found: Outlook
    failing: Failing | None
    sure: int
    booked: int
    too_small: int = 0
    unplanned: Unplanned | None = None
    minimum: int = 0  # of a product; a fabric's counts full rolls alone, which is not what its outlook shows

    @property
    def is_cloth(self) -> bool:
        return isinstance(self.material, Reinforcement)

    @property
    def first_below(self) -> Point | None:
        return self.found.first_below(self.minimum)


def failing_cloth(on: datetime.date) -> dict[int, Failing]:
    """Reinforcements of which planned jobs run short, by id, the soonest first."""
    shortages = sorted(demand.cloth_shortages(on), key=lambda short: short.needed_on)
    kinds = Reinforcement.objects.select_related("supplier").in_bulk([short.reinforcement_id for short in shortages])
    found: dict[int, Failing] = {}
    for short in shortages:
        found.setdefault(short.reinforcement_id, _failing(short, kinds[short.reinforcement_id], on))
    return found


def _failing(short: ClothShortage, kind: Reinforcement, on: datetime.date) -> Failing:
    order_by = order_by_of(short.needed_on, lead_days_of(kind), on) if short.rolls else None
    return Failing(short.needed_on, short.for_jobs, order_by, short.reason)


def failing_resin(on: datetime.date) -> dict[int, Failing]:
    needs = planned_needs(on)
    stock = resin_stock(needs, on)
    found = {}
    for product in Chemical.objects.filter(pk__in=needs).select_related("supplier"):
        short = issue(needs[product.pk], stock[product.pk]).short
        if short:
            first = min(short, key=lambda item: item.need.needed_on).need
            jobs = tuple(dict.fromkeys(item.need.purpose for item in short))
            order_by = order_by_of(first.needed_on, lead_days_of(product), on)
            found[product.pk] = Failing(first.needed_on, jobs, order_by)
    return dict(sorted(found.items(), key=lambda pair: pair[1].on))


def cloth_outlook(kind: Reinforcement, on: datetime.date) -> MaterialOutlook:
    shop = Shop.current()
    uses = [use for use in demand.cloth_uses(on) if use.reinforcement_id == kind.pk]
    coming = [roll for roll in cloth_on_its_way(on) if roll.reinforcement_id == kind.pk]
    there = on_racks(kind, demand.least_blanks().get(kind.pk, LeastBlank()), shop, on)
    failing = failing_cloth(on).get(kind.pk)
    short_known = failing is not None
    events = [*_arrivals(coming, shop), *(event for use in uses for event in _uses(use, shop, short_known))]
    unplanned = unplanned_use(kind, on)
    found = outlook(
        events,
        sure=there.sure,
        booked=there.booked,
        on=on,
        until=_until(events, on),
        unplanned_a_day=unplanned.a_day,
    )
    return MaterialOutlook(kind, found, failing, there.sure, there.booked, there.too_small, unplanned)


def _until(events: Sequence[Event], on: datetime.date) -> datetime.date:
    last = max((event.on for event in events), default=on) + datetime.timedelta(days=7)
    least, most = (on + datetime.timedelta(days=days) for days in (LEAST_DAYS, MOST_DAYS))
    return min(max(last, least), max(most, max((event.on for event in events), default=on)))


def _arrivals(coming: Iterable[Arrival], shop: Shop) -> Iterable[Event]:
    for rolls in coming:
        length_mm = rolls.count * rolls.length_mm
        words = f"Order {rolls.order_number} comes: {format_length(length_mm, shop.units)}"
        yield Event(rolls.expected_on, COMES, length_mm, words)


def _uses(use: ClothUse, shop: Shop, short_known: bool) -> Iterable[Event]:
    """What a job takes, then what it is short of; a first fit's doubt is not shown where the planner found a way."""
    if use.is_quoted:
        words = f"{use.job} may come, {use.chance_percent} %: {format_length(use.length_mm, shop.units)}"
        yield Event(use.needed_on, MAY_COME, use.length_mm, words)
        return
    taken = use.here_mm + use.coming_mm + (0 if short_known else use.new_mm)
    if taken:
        how = "set aside" if use.set_aside else "planned"
        yield Event(use.needed_on, TAKEN, taken, f"{use.job} takes {format_length(taken, shop.units)} ({how})")
    if short_known and use.new_mm:
        yield Event(use.needed_on, SHORT, use.new_mm, f"{use.job} is short of {format_length(use.new_mm, shop.units)}")
    if short_known and use.missing:
        pieces = "1 piece" if use.missing == 1 else f"{use.missing} pieces"
        yield Event(use.needed_on, SHORT, 0, f"{use.job} has {pieces} that no new roll gives either")


def resin_outlook(product: Chemical, on: datetime.date) -> MaterialOutlook:
    shop = Shop.current()
    needs = planned_needs(on).get(product.pk, [])
    stock = resin_stock([product.pk], on)[product.pk]
    plan = issue(needs, stock)
    events = [*_issued(plan, shop), *_coming_and_dying(plan, stock, on, shop)]
    for need in demand.quoted_resin(on):
        if need.chemical_id == product.pk:
            mass = format_mass(need.mass_g, shop.units)
            words = f"{need.job} may come, {need.chance_percent} %: {mass}"
            events.append(Event(max(need.needed_on, on), MAY_COME, need.mass_g, words))
    sure = sum(item.mass_g for item in stock if item.received_on <= on <= item.expires_on)
    unplanned = unplanned_use(product, on)
    found = outlook(events, sure=sure, booked=sure, on=on, until=_until(events, on), unplanned_a_day=unplanned.a_day)
    failing, kept_g = failing_resin(on).get(product.pk), product.minimum_g
    return MaterialOutlook(product, found, failing, sure, sure, unplanned=unplanned, minimum=kept_g)


def _issued(plan, shop: Shop) -> Iterable[Event]:
    taken: dict[tuple[datetime.date, str], int] = {}
    for line in plan.taken:
        name = (line.need.needed_on, line.need.purpose)
        taken[name] = taken.get(name, 0) + line.mass_g
    for (day, job), mass_g in taken.items():
        yield Event(day, TAKEN, mass_g, f"{job} takes {format_mass(mass_g, shop.units)}")
    for short in plan.short:
        words = f"{short.need.purpose} is short of {format_mass(short.mass_g, shop.units)}"
        yield Event(short.need.needed_on, SHORT, short.mass_g, words)


def _coming_and_dying(plan, stock: Sequence[Stock], on: datetime.date, shop: Shop) -> Iterable[Event]:
    """What comes from an order, and what no job takes before its date, on the day after."""
    for item in stock:
        if item.received_on > on:
            mass = format_mass(item.mass_g, shop.units)
            yield Event(item.received_on, COMES, item.mass_g, f"{_named(item)} comes: {mass}")
        left = plan.left_g[item.code]
        horizon = on + datetime.timedelta(days=MOST_DAYS)
        if left and on <= item.expires_on < horizon:
            day = item.expires_on + datetime.timedelta(days=1)
            yield Event(day, DIES, left, f"{_named(item)} ends with {format_mass(left, shop.units)} unused")


def _named(item: Stock) -> str:
    """A container by its code, what is ordered as an order."""
    return f"{item.code[:1].upper()}{item.code[1:]}"
