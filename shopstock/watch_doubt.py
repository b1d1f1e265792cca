"""Rolls whose length is less sure than the shop can live with."""

from collections.abc import Iterator

from django.db.models import F

from .calc.units import format_length
from .models import Shop
from .queries import open_rolls
from .watch_items import Severity, WatchItem
from .watch_risk import jobs_on, roll_name

SURE = 1.96  # 95 in 100, either way


def doubtful_lengths(shop: Shop) -> Iterator[WatchItem]:
    """Rolls that may be longer or shorter than the ledger says by more than the shop's figure."""
    worst_mm = shop.doubt_warning_mm / SURE
    rolls = list(open_rolls().filter(uncertainty_mm__gt=worst_mm, length_mm__gt=F("uncertainty_mm")))
    jobs = jobs_on(rolls)
    for roll in rolls:
        half_mm = int(round(SURE * roll.uncertainty_mm, -1))
        yield WatchItem(
            kind="doubt",
            severity=Severity.SOON if roll.set_aside_mm else Severity.NOTE,
            what=roll_name(roll, shop),
            cause=f"Give or take {format_length(half_mm, shop.units)}.",
            to_do="Measure it before a plan leans on its last metres.",
            page="roll",
            page_arg=roll.code,
            length_mm=half_mm,
            jobs=jobs.get(roll.pk, ()),
        )
