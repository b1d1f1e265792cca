"""What is about to go wrong in the store, each with its cause and what to do. Reads only."""

import datetime

from django.utils import timezone

from .models import Shop
from .watch_dates import ageing_rolls
from .watch_doubt import doubtful_lengths
from .watch_items import KINDS, Severity, WatchItem
from .watch_measure import old_offcuts, worth_measuring
from .watch_orders import late_orders
from .watch_places import full_cabinets, wrong_climate, wrong_places
from .watch_resins import ageing_resin, products_below_minimum
from .watch_rolls import below_minimum, folded_rolls, long_quarantine, short_ends, to_be_measured

__all__ = ["KINDS", "Severity", "WatchItem", "watch_list"]


def watch_list(on: datetime.date, at: datetime.datetime | None = None) -> list[WatchItem]:
    """Everything that needs attention on the day, most urgent first; `at` is the moment, the day's end without it."""
    at = at or datetime.datetime.combine(on, datetime.time.max, timezone.get_current_timezone())
    shop = Shop.current()
    found = [
        *ageing_resin(on, shop),
        *wrong_places(shop),
        *full_cabinets(shop),
        *ageing_rolls(at, shop),
        *wrong_climate(at, shop),
        *to_be_measured(shop),
        *doubtful_lengths(shop),
        *worth_measuring(shop),
        *folded_rolls(on, shop),
        *long_quarantine(on, shop),
        *late_orders(on),
        *below_minimum(on, shop),
        *products_below_minimum(on, shop),
        *short_ends(shop),
        *old_offcuts(on, shop),
    ]
    order = list(KINDS)
    return sorted(found, key=lambda item: (item.severity, order.index(item.kind), item.due or on, item.rank, item.what))
