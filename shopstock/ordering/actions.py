import datetime
from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from shopstock.models import Chemical, Order, OrderLine, Shop, Supplier
from shopstock.sizes_sold import currency_of
from shopstock.to_order_line import OrderLine as ToOrder


class OrderError(Exception):
    """An order that cannot be changed so; the message says what to do."""


def lock_order(order: Order) -> Order:
    """Take its write lock (a one-row UPDATE, which every database honours) and read it afresh."""
    Order.objects.filter(pk=order.pk).update(state=F("state"))
    return Order.objects.get(pk=order.pk)


def _require(order: Order, *states: str) -> None:
    if order.state not in states:
        raise OrderError(f"{str(order).capitalize()} is {order.get_state_display()}: that cannot be done any more.")


@transaction.atomic
def write_order(
    *,
    supplier: Supplier,
    lines: Sequence[tuple[ToOrder, int]],
    expected_on: datetime.date | None,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
) -> Order:
    """A draft of what is to be bought, each line with its reason; the same key twice is one order."""
    known = Order.objects.filter(key=key).first()
    if known:
        return known
    if not lines:
        raise OrderError("There is nothing to put on an order.")
    order, is_new = _begin(supplier, expected_on, by, at, key)
    if is_new:
        OrderLine.objects.bulk_create(_line(order, line, packs) for line, packs in lines)
    return order


def new_order(
    *,
    supplier: Supplier,
    expected_on: datetime.date | None,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
) -> Order:
    return _begin(supplier, expected_on, by, at, key)[0]


def _begin(supplier: Supplier, expected_on: datetime.date | None, by, at, key: str) -> tuple[Order, bool]:
    """The draft of this key, and whether it was begun just now; two taps at one moment begin one."""
    begun = {
        "supplier": supplier,
        "currency": currency_of(supplier, Shop.current()),
        "freight": supplier.freight,
        "expected_on": expected_on,
        "made_by": by,
        "made_at": at,
    }
    return Order.objects.get_or_create(key=key, defaults=begun)


def _line(order: Order, line: ToOrder, packs: int) -> OrderLine:
    material = line.material
    reason = ". ".join(line.reasons)[:300]
    steps = [price for least, price in line.breaks if least <= packs]
    common = {"order": order, "packs": packs, "reason": reason, "price": steps[-1] if steps else line.price}
    common["needed_on"] = line.needed_on
    if isinstance(material, Chemical):
        return OrderLine(chemical=material, pack_g=line.pack_g, **common)
    return OrderLine(reinforcement=material, width_mm=material.width_mm, length_mm=material.roll_length_mm, **common)


@transaction.atomic
def save_line(*, line: OrderLine) -> OrderLine:
    """Add or change a line of a draft."""
    _require(lock_order(line.order), Order.State.DRAFT)
    line.save()
    return line


@transaction.atomic
def remove_line(*, line: OrderLine) -> None:
    _require(lock_order(line.order), Order.State.DRAFT)
    OrderLine.objects.filter(pk=line.pk).delete()


@transaction.atomic
def save_terms(*, order: Order) -> Order:
    """Freight, duty, day and note, until it is sent."""
    _require(lock_order(order), Order.State.DRAFT)
    order.save(update_fields=["freight", "duty_percent", "handling", "expected_on", "note", "currency"])
    return order


@transaction.atomic
def approve(*, order: Order, by: AbstractBaseUser, at: datetime.datetime) -> Order:
    """From now on it counts as coming. Twice is once."""
    order = lock_order(order)
    if order.state == Order.State.APPROVED:
        return order
    _require(order, Order.State.DRAFT)
    _require_complete(order, timezone.localdate(at))
    order.state, order.approved_by, order.approved_at = Order.State.APPROVED, by, at
    order.save(update_fields=["state", "approved_by", "approved_at"])
    return order


def _require_complete(order: Order, on: datetime.date) -> None:
    lines = list(order.lines.select_related("reinforcement", "chemical"))
    if not lines:
        raise OrderError("An order needs a line: add one, or cancel the order.")
    without = [str(line.material) for line in lines if line.price is None]
    if without:
        raise OrderError(f"{', '.join(without)}: enter what one costs, then approve.")
    if order.expected_on is None:
        raise OrderError("Say when it is expected: the outlook counts it from that day on.")
    if order.expected_on < on:
        raise OrderError(f"It is expected on {order.expected_on}, which has gone by: enter another day.")


@transaction.atomic
def mark_sent(*, order: Order, at: datetime.datetime) -> Order:
    order = lock_order(order)
    if order.state == Order.State.SENT:
        return order
    if order.state == Order.State.DRAFT:
        raise OrderError("Approve it first: an order leaves under the owner's name.")
    _require(order, Order.State.APPROVED)
    order.state, order.sent_at = Order.State.SENT, at
    order.save(update_fields=["state", "sent_at"])
    return order


@transaction.atomic
def cancel(*, order: Order, at: datetime.datetime) -> Order:
    """Nothing more is expected of it; what came stays. Twice is once."""
    order = lock_order(order)
    if order.state == Order.State.CANCELLED:
        return order
    _require(order, Order.State.DRAFT, Order.State.APPROVED, Order.State.SENT)
    came = order.deliveries.exists()
    order.state = Order.State.RECEIVED if came else Order.State.CANCELLED
    order.closed_at = at
    order.save(update_fields=["state", "closed_at"])
    return order


@transaction.atomic
def change_day(*, order: Order, expected_on: datetime.date) -> Order:
    """The supplier named another day."""
    order = lock_order(order)
    _require(order, Order.State.DRAFT, Order.State.APPROVED, Order.State.SENT)
    order.expected_on = expected_on
    order.save(update_fields=["expected_on"])
    return order


def cost_of(lines: Iterable[OrderLine]) -> Decimal | None:
    """None when a price is missing."""
    costs = [line.cost for line in lines]
    return None if None in costs else sum(costs, Decimal(0))
