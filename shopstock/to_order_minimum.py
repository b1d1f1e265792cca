"""Resin and other products of which less would be in date than the minimum kept, and what is bought for it.

Never more than is used before it dies, by what is planned or by what is drawn in as much time.
"""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import Min, Sum

from .calc.issue_order import Need, Stock, issue
from .calc.kept_stock import LONGEST_LIFE_DAYS, below_since, in_date_g, most_in_time_g, short_of_minimum, used_in_time_g
from .calc.order_lines import PacksToBuy, packs_to_buy
from .calc.units import format_mass
from .models import Chemical, ContainerMovement, Shop
from .to_order_line import OrderLine, minimum_words, soonest_of
from .to_order_packs import Packs, line_of_packs, packs_of, smallest_pack_g
from .unplanned import LEAST_WEEKS

LEAST_DAYS_SEEN = 7 * LEAST_WEEKS


@dataclass(frozen=True)
class ForMinimum:
    """What is bought of one product on one day; `mass_g` is less than `short_g` where more would die unused."""

    product: Chemical
    day: datetime.date
    since: datetime.date
    there_g: int
    short_g: int
    mass_g: int
    used_g: int | None = None
    coming_g: int = 0

    @property
    def packs(self) -> list[Packs]:
        pack_g = smallest_pack_g(self.product)
        if not self.mass_g:
            return [Packs(0, pack_g)]
        return packs_of(self.product, PacksToBuy(self.mass_g, pack_g and -(-self.mass_g // pack_g), self.day, ()))

    @property
    def content_g(self) -> int:
        """What is bought holds; the bare mass where no pack is known."""
        return sum(packs.count * packs.content_g for packs in self.packs if packs.count) or self.mass_g

    def lines(self, on: datetime.date, shop: Shop) -> Iterator[OrderLine]:
        needed_on = None if self.since <= on else self.since
        for packs in self.packs:
            yield line_of_packs(
                self.product, packs, self._reasons(on, shop), needed_on, on, shop, missing_g=self.mass_g
            )

    def _reasons(self, on: datetime.date, shop: Shop) -> tuple[str, ...]:
        def shown(mass_g: int) -> str:
            return format_mass(mass_g, shop.units)

        when = "now" if self.since <= on else f"on {self.since}"
        there = f"{shown(self.there_g)} in date {when}"
        kept = minimum_words(shown(self.product.minimum_g), there, self.coming_g, shown)
        if self.used_g is None:
            return (kept,)
        used = f"{shown(self.used_g)} of it" if self.used_g else "none of it"
        days = self.product.shelf_life_days
        days_words = "1 day" if days == 1 else f"{days} days"
        life = f"planned jobs, or draws at the pace so far, use {used} in its {days_words} of life"
        if self.mass_g:
            return (kept, f"More would die unused: {life}")
        return (kept, f"A pack would die unused: {life}. Lower the minimum, or write an order by hand")


def for_minimum(
    product: Chemical,
    needs: Sequence[Need],
    stock: Sequence[Stock],
    bought: Sequence[Stock],
    drawn_g: int,
    on: datetime.date,
) -> list[ForMinimum]:
    """`stock` is there or on its way, `bought` what is to be ordered for the jobs: together they serve every need.

    Of several days on which nothing is bought, as it would die unused, the first is told.
    """
    soonest, life = soonest_of(product, on) or on, product.shelf_life_days
    everything = [*stock, *bought]
    short = short_of_minimum(needs, everything, minimum_g=product.minimum_g, soonest=soonest, life_days=life)
    orders = packs_to_buy(short, pack_g=None, shelf_life_days=life)
    found = [_one(product, needs, everything, order, drawn_g, soonest, on) for order in orders]
    first_unused = next((one for one in found if not one.mass_g), None)
    told = [one for one in found if one.mass_g or one is first_unused]
    return [replace(one, coming_g=_coming_g(stock, one)) for one in told]


def _coming_g(stock: Sequence[Stock], one: ForMinimum) -> int:
    return sum(item.mass_g for item in stock if one.since < item.received_on <= one.day)


def _one(product, needs, stock, order: PacksToBuy, drawn_g: int, soonest, on) -> ForMinimum:
    day, pack_g, minimum_g = order.needed_on, smallest_pack_g(product), product.minimum_g
    since = below_since(needs, stock, minimum_g=minimum_g, on=on, day=day) if day == soonest else day
    plan = issue(needs, stock)
    there_g = in_date_g(plan, stock, since)
    mass_g, used_g = order.mass_g, None
    if product.shelf_life_days is not None and pack_g:
        used_g = used_in_time_g(needs, drawn_g=drawn_g, came_on=day, life_days=product.shelf_life_days)
        room_g = used_g - in_date_g(plan, stock, day)
        mass_g = most_in_time_g(order.mass_g, pack_g=pack_g, room_g=room_g)
        used_g = used_g if mass_g < order.mass_g else None
    return ForMinimum(product, day, since, there_g, order.mass_g, mass_g, used_g)


def drawn_in_a_life(products: Collection[Chemical], on: datetime.date) -> dict[int, int]:
    """What is drawn of each, in g, in as many days as it lives: as many gone by, or at the pace of fewer on record."""
    lives = {item.pk: min(item.shelf_life_days, LONGEST_LIFE_DAYS) for item in products if item.shelf_life_days}
    if not lives:
        return {}
    lines = ContainerMovement.objects.filter(container__chemical__in=lives).order_by()
    begun = dict(lines.values_list("container__chemical").annotate(Min("happened_at__date")))
    draws = lines.filter(kind=ContainerMovement.Kind.DRAW)
    drawn = dict.fromkeys(lives, 0)
    for pk, day, delta_g in draws.values_list("container__chemical", "happened_at__date").annotate(Sum("delta_g")):
        drawn[pk] -= delta_g if (on - day).days <= lives[pk] else 0
    return {pk: drawn_g * lives[pk] // _days_seen(begun, pk, lives[pk], on) for pk, drawn_g in drawn.items()}


def _days_seen(begun: Mapping[int, datetime.date], pk: int, life_days: int, on: datetime.date) -> int:
    """The days of which what was drawn tells: a life, or the fewer since its first line."""
    seen = (on - begun[pk]).days if pk in begun else 0
    return min(seen, life_days) if seen >= LEAST_DAYS_SEEN else life_days
