import datetime

from django.db.models import Count, QuerySet, Sum

from shopstock.arrivals import ON_ITS_WAY
from shopstock.models import Order


def with_counts(orders: QuerySet[Order]) -> QuerySet[Order]:
    """Orders with how many rolls and packs are on them."""
    return orders.select_related("supplier").annotate(line_count=Count("lines"), pack_count=Sum("lines__packs"))


def open_orders(on: datetime.date) -> list[Order]:
    """Drafts and orders on their way, the first expected first."""
    states = (Order.State.DRAFT, *ON_ITS_WAY)
    return list(with_counts(Order.objects.filter(state__in=states)).order_by("expected_on", "pk"))


def late_orders(on: datetime.date) -> list[Order]:
    late = Order.objects.filter(state__in=ON_ITS_WAY, expected_on__lt=on)
    return list(late.select_related("supplier").order_by("expected_on", "pk"))
