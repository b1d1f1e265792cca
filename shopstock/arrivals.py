"""What is on its way: lines of approved and sent orders less what came of them, with the day it is expected."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Count, F, QuerySet

from .models import Container, DeliveredItem, Order, OrderLine, Roll

ON_ITS_WAY = (Order.State.APPROVED, Order.State.SENT)
LOOK_BACK_DAYS = 3  # before the order was written: goods may be logged before the paper


@dataclass(frozen=True)
class Arrival:
    """Rolls of one reinforcement as ordered, and the day they are expected."""

    reinforcement_id: int
    width_mm: int
    length_mm: int
    count: int
    expected_on: datetime.date
    order_number: str = ""


@dataclass(frozen=True)
class ResinArrival:
    """Packs of one product as ordered, and the day they are expected."""

    chemical_id: int
    pack_g: int
    count: int
    expected_on: datetime.date
    order_number: str = ""


def open_lines() -> QuerySet[OrderLine]:
    """Lines of which something is still to come; `came` counts what did."""
    lines = OrderLine.objects.filter(order__state__in=ON_ITS_WAY, closed=False).select_related("order")
    return lines.annotate(came=Count("delivered")).filter(came__lt=F("packs")).order_by("pk")


def expected_on(line: OrderLine, on: datetime.date) -> datetime.date:
    """What is late is expected today at the earliest."""
    return max(line.order.expected_on or on, on)


def cloth_on_its_way(on: datetime.date) -> list[Arrival]:
    return [
        Arrival(
            line.reinforcement_id,
            line.width_mm,
            line.length_mm,
            line.packs - line.came,
            expected_on(line, on),
            line.order.number,
        )
        for line in open_lines().filter(reinforcement__isnull=False)
    ]


def resin_on_its_way(on: datetime.date) -> Iterator[ResinArrival]:
    for line in open_lines().filter(chemical__isnull=False):
        count = line.packs - line.came
        yield ResinArrival(line.chemical_id, line.pack_g, count, expected_on(line, on), line.order.number)


def orders_expecting(item: Roll | Container) -> list[Order]:
    """Orders that a roll or container may have come for: it is on none yet, and they wait for its material."""
    is_roll = isinstance(item, Roll)
    if DeliveredItem.objects.filter(**{"roll" if is_roll else "container": item}).exists():
        return []
    latest = item.received_on + datetime.timedelta(days=LOOK_BACK_DAYS)
    material = {"reinforcement_id": item.reinforcement_id} if is_roll else {"chemical_id": item.chemical_id}
    lines = open_lines().filter(order__made_at__date__lte=latest, **material)
    return list(dict.fromkeys(line.order for line in lines))
