import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence

from .arrivals import open_lines
from .models import Order, OrderLine
from .watch_items import Severity, WatchItem


def late_orders(on: datetime.date) -> Iterator[WatchItem]:
    """Orders on their way whose day has gone by, with what is still to come of them."""
    lines = open_lines().filter(order__expected_on__lt=on).order_by("order__expected_on", "pk")
    by_order: dict[Order, list[OrderLine]] = defaultdict(list)
    for line in lines.select_related("order__supplier", "reinforcement", "chemical"):
        by_order[line.order].append(line)
    for order, waited_for in by_order.items():
        yield _late(order, waited_for, on)


def _late(order: Order, lines: Sequence[OrderLine], on: datetime.date) -> WatchItem:
    days = order.days_late(on)
    missing = ", ".join(f"{line.packs - line.came} × {line.material}" for line in lines)
    return WatchItem(
        kind="late_order",
        severity=Severity.SOON,
        what=f"Order {order.number} of {order.supplier}",
        cause=f"Expected on {order.expected_on}, {days} day{'' if days == 1 else 's'} ago; still to come: {missing}.",
        to_do="Book what came, or ask the supplier and enter the new day: jobs are planned on it.",
        page="order",
        page_arg=order.pk,
        since=order.expected_on,
        due=order.expected_on,
        at_risk=". ".join(dict.fromkeys(line.reason for line in lines))[:200],
    )
