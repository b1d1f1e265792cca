"""One thing to buy: how much of it, for what, at what price and until when it can be ordered."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from .calc.netting import OrderBy, last_day_to_order
from .models import Chemical, Reinforcement, Supplier

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
            return "nothing: a new roll does not help" if self.pack_name == "roll" else "nothing: it would die unused"
        return f"{self.packs} {self.pack_name}{'' if self.packs == 1 else 's'} of {self.amount}"

    @property
    def summary(self) -> str:
        """One line of text: what, how much, for what and until when."""
        until = f"; order by {self.order_by.day}" if self.order_by else ""
        late = f", {self.days_late} days late" if self.days_late else ""
        return f"{self.item}: {self.buy} ({'. '.join(self.reasons)}){until}{late}"


def minimum_words(kept: str, there: str, coming: int, shown: Callable[[int], str]) -> str:
    """ "Keep at least 30.00 m; free now 12.00 m, 50.00 m on its way"."""
    return f"Keep at least {kept}; {there}{on_its_way_words(coming, shown)}"


def on_its_way_words(coming: int, shown: Callable[[int], str]) -> str:
    return f", {shown(coming)} on its way" if coming else ""


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
