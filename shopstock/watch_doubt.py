"""Rolls whose length is less sure than the shop can live with, and prepreg whose time out of the freezer runs."""

import datetime
from collections.abc import Iterator

from django.db.models import F
from django.utils import timezone

from .calc.units import format_length
from .ledger.freezer import use_by_of
from .models import Roll, Shop
from .prepreg import out_time_of
from .queries import open_rolls, promises_on
from .watch_items import Severity, WatchItem

SURE = 1.96  # 95 in 100, either way
NEAR = 0.8  # of the time out


def doubtful_lengths(shop: Shop) -> Iterator[WatchItem]:
    """Rolls that may be longer or shorter than the ledger says by more than the shop's figure."""
    worst_mm = shop.doubt_warning_mm / SURE
    for roll in open_rolls().filter(uncertainty_mm__gt=worst_mm, length_mm__gt=F("uncertainty_mm")):
        half_mm = int(round(SURE * roll.uncertainty_mm, -1))
        booked, half = format_length(roll.length_mm, shop.units), format_length(half_mm, shop.units)
        yield WatchItem(
            kind="doubt",
            severity=Severity.SOON if roll.set_aside_mm else Severity.NOTE,
            what=f"{roll.get_kind_display().capitalize()} {roll.code}, {roll.reinforcement}",
            cause=f"{booked}, give or take {half}.",
            to_do="Measure it before a plan leans on its last metres.",
            page="roll",
            page_arg=roll.code,
            length_mm=half_mm,
        )


def thawed_prepreg(at: datetime.datetime, shop: Shop) -> Iterator[WatchItem]:
    """Prepreg past its date, out of time, or near it."""
    on = timezone.localdate(at)
    rolls = open_rolls().filter(reinforcement__out_life_h__isnull=False).select_related("reinforcement", "parent")
    for roll in rolls.prefetch_related("out_spells"):
        item = _prepreg(roll, at, on, shop)
        if item:
            yield item


def _prepreg(roll: Roll, at: datetime.datetime, on: datetime.date, shop: Shop) -> WatchItem | None:
    found = out_time_of(roll, at)
    use_by = use_by_of(roll)
    past = use_by is not None and use_by < on
    if not past and found.left_h > 0 and found.share < NEAR:
        return None
    dead = past or found.left_h <= 0
    now = "; it lies out now" if found.is_out else ""
    hours = f"{found.used_h:.0f} h out of the freezer, {found.left_h:.0f} h left{now}."
    return WatchItem(
        kind="prepreg",
        severity=Severity.URGENT if dead or found.is_out else Severity.SOON,
        what=f"{roll.get_kind_display().capitalize()} {roll.code}, {roll.reinforcement}",
        cause=f"Its label ended on {use_by}." if past else hours,
        to_do="Do not use it in structure." if dead else "Use it next, or put it back in the freezer now.",
        page="roll",
        page_arg=roll.code,
        due=use_by if past else found.ends_on(at),
        length_mm=roll.length_mm,
        jobs=tuple(dict.fromkeys(promise.purpose for promise in promises_on(roll))),
    )
