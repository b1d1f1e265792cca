"""What came of an order: rolls and containers that are in the ledger already, matched to its lines."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.db.models import Count
from django.utils import timezone

from shopstock.arrivals import LOOK_BACK_DAYS
from shopstock.calc.costing import DeliveryLine, landed_costs
from shopstock.calc.units import format_length, format_mass, format_width
from shopstock.models import Container, ContainerMovement, DeliveredItem, Delivery, Order, OrderLine, Roll

from .actions import OrderError, lock_order

SHORT_PERCENT = 1  # shorter than ordered by more than labels are usually wrong


@dataclass(frozen=True)
class Candidate:
    """A roll or container logged lately that may belong to a line, and how it differs from what was ordered."""

    line: OrderLine
    item: Roll | Container
    differences: tuple[str, ...]

    @property
    def value(self) -> str:
        kind = "roll" if isinstance(self.item, Roll) else "container"
        return f"{self.line.pk}-{kind}-{self.item.pk}"


def candidates(order: Order, units: str) -> list[Candidate]:
    """For each line still open: what was logged since the order was written and belongs to no order yet."""
    since = timezone.localdate(order.made_at) - datetime.timedelta(days=LOOK_BACK_DAYS)
    return [
        Candidate(line, item, differences(line, item, units))
        for line in open_lines_of(order)
        for item in _logged(line, since)
    ]


def open_lines_of(order: Order) -> list[OrderLine]:
    lines = order.lines.filter(closed=False).annotate(came=Count("delivered"))
    return [line for line in lines.select_related("reinforcement", "chemical") if line.came < line.packs]


def _logged(line: OrderLine, since: datetime.date):
    if line.chemical_id:
        found = Container.objects.filter(chemical_id=line.chemical_id, received_on__gte=since, delivered__isnull=True)
    else:
        found = Roll.objects.filter(
            reinforcement_id=line.reinforcement_id,
            received_on__gte=since,
            delivered__isnull=True,
            kind=Roll.Kind.ROLL,
            parent__isnull=True,
        )
    return found.order_by("received_on", "pk")


def differences(line: OrderLine, item: Roll | Container, units: str) -> tuple[str, ...]:
    """In words, empty when it is as ordered."""
    if isinstance(item, Container):
        came_g = received_g(item)
        if came_g == line.pack_g:
            return ()
        return (f"{format_mass(came_g, units)} instead of {format_mass(line.pack_g, units)}",)
    words = []
    if abs(item.width_mm - line.width_mm) > max(5, line.width_mm // 100):
        words.append(f"{format_width(item.width_mm, units)} wide instead of {format_width(line.width_mm, units)}")
    if item.label_length_mm < line.length_mm * (100 - SHORT_PERCENT) // 100:
        short = format_length(line.length_mm - item.label_length_mm, units)
        words.append(f"{short} short: {format_length(item.label_length_mm, units)} on its label")
    elif item.label_length_mm > line.length_mm:
        words.append(f"{format_length(item.label_length_mm - line.length_mm, units)} more than ordered")
    if item.condition != Roll.Condition.USABLE:
        words.append(f"{item.get_condition_display()}: {item.condition_reason}")
    return tuple(words)


def received_g(container: Container) -> int:
    receipt = container.movements.filter(kind=ContainerMovement.Kind.RECEIPT).order_by("pk").first()
    return receipt.delta_g if receipt else container.mass_g


@transaction.atomic
def take_in(
    *,
    order: Order,
    found: Sequence[tuple[Candidate, Decimal]],
    received_on: datetime.date,
    paper: str,
    freight: Decimal,
    duty_percent: Decimal,
    handling: Decimal,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
) -> Delivery:
    """Match what came, with the price invoiced for each, and share what its way cost. The same key twice is once."""
    order = lock_order(order)
    known = Delivery.objects.filter(key=key).first()  # behind the lock: a second tap waits for the first
    if known:
        return known
    if not order.is_on_its_way:
        raise OrderError(f"{str(order).capitalize()} is {order.get_state_display()}: nothing can be booked on it.")
    _require_room(found)
    delivery = Delivery.objects.create(
        order=order,
        received_on=received_on,
        paper=paper,
        freight=freight,
        duty_percent=duty_percent,
        handling=handling,
        by=by,
        at=at,
        key=key,
    )
    _share_out(delivery, found)
    _close_when_complete(order, at)
    return delivery


def _require_room(found: Sequence[tuple[Candidate, Decimal]]) -> None:
    if not found:
        raise OrderError("Tick what came. What is not logged yet, log under Receive first.")
    if len({candidate.item for candidate, _ in found}) < len(found):
        raise OrderError("One roll or container stands on two lines: leave it on one.")
    for line in {candidate.line.pk: candidate.line for candidate, _ in found}.values():
        count = sum(candidate.line.pk == line.pk for candidate, _ in found)
        open_count = line.packs - DeliveredItem.objects.filter(line=line).count()
        if count > open_count:
            raise OrderError(f"{line.material}: {open_count} still to come, {count} ticked.")
    for candidate, _ in found:
        if DeliveredItem.objects.filter(**{_kind(candidate): candidate.item}).exists():
            raise OrderError(f"{candidate.item} is booked on an order already. Open the page again.")


def _kind(candidate: Candidate) -> str:
    return "roll" if isinstance(candidate.item, Roll) else "container"


def _share_out(delivery: Delivery, found: Sequence[tuple[Candidate, Decimal]]) -> None:
    """Freight by mass, duty on price and freight, handling in equal parts; the cents add up."""
    lines = [DeliveryLine(price, mass_g(candidate.item), Decimal(1)) for candidate, price in found]
    landed = landed_costs(
        lines, freight=delivery.freight, duty_percent=delivery.duty_percent, handling=delivery.handling
    )
    items = [
        DeliveredItem(
            delivery=delivery,
            line=candidate.line,
            price=cost.price,
            freight=cost.freight,
            duty=cost.duty,
            handling=cost.handling,
            **{_kind(candidate): candidate.item},
        )
        for (candidate, _), cost in zip(found, landed, strict=True)
    ]
    try:
        with transaction.atomic():
            DeliveredItem.objects.bulk_create(items)
    except IntegrityError as error:  # on two orders at one moment: each is locked by itself
        raise OrderError("One of these was booked on another order just now. Open the page again.") from error


def mass_g(item: Roll | Container) -> Decimal:
    """By which freight is shared: net mass of a container, of a roll as weighed or worked out."""
    if isinstance(item, Container):
        return Decimal(max(1, received_g(item)))
    if item.gross_g:
        return Decimal(item.gross_g)
    area_m2 = Decimal(item.label_length_mm) * item.width_mm / 1_000_000
    return max(Decimal(1), area_m2 * item.reinforcement.areal_weight_gsm)


def _close_when_complete(order: Order, at: datetime.datetime) -> None:
    if not open_lines_of(order):
        order.state, order.closed_at = Order.State.RECEIVED, at
        order.save(update_fields=["state", "closed_at"])


@transaction.atomic
def close_line(*, line: OrderLine, at: datetime.datetime) -> None:
    """No more comes of it; the order is received when that was the last. Twice is once."""
    order = lock_order(line.order)
    if OrderLine.objects.filter(pk=line.pk, closed=True).exists():
        return
    if not order.is_on_its_way:
        raise OrderError(f"{str(order).capitalize()} is {order.get_state_display()}: nothing is expected of it.")
    OrderLine.objects.filter(pk=line.pk).update(closed=True)
    _close_when_complete(order, at)


def price_words(item: DeliveredItem, currency: str) -> str:
    """ "10.00 EUR dearer than ordered", empty when the price is the one ordered at."""
    dearer = item.price - item.line.price
    if not dearer:
        return ""
    return f"{abs(dearer):,.2f} {currency} {'dearer' if dearer > 0 else 'cheaper'} than ordered"
