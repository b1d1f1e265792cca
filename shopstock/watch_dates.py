"""Rolls whose time is up or nearly so: prepreg by its label and its hours out of the freezer, others by their label."""

import datetime
from collections.abc import Iterator, Sequence

from django.db.models import Q
from django.utils import timezone

from .ledger.freezer import use_by_of
from .models import Roll, Shop
from .prepreg import out_time_of, prepregs
from .queries import open_rolls
from .watch_items import Severity, WatchItem
from .watch_risk import jobs_on, roll_at_risk, roll_name

NEAR = 0.8  # of the time out


def ageing_rolls(at: datetime.datetime, shop: Shop) -> Iterator[WatchItem]:
    """Prepreg past its date, out of time, or near it; other cloth past or near the date on its label."""
    on = timezone.localdate(at)
    dated = Q(use_by__isnull=False) | Q(parent__isnull=False, parent__use_by__isnull=False)
    rolls = open_rolls().filter(Q(reinforcement__in=prepregs()) | dated)
    found = list(rolls.select_related("reinforcement", "place", "parent").prefetch_related("out_spells"))
    jobs = jobs_on(found)
    for roll in found:
        own = jobs.get(roll.pk, ())
        item = _prepreg(roll, at, on, own, shop) if roll.reinforcement.is_prepreg else _by_label(roll, on, own, shop)
        if item:
            yield item


def _prepreg(roll: Roll, at: datetime.datetime, on: datetime.date, jobs: Sequence[str], shop: Shop) -> WatchItem | None:
    found = out_time_of(roll, at)
    use_by = use_by_of(roll)
    past = use_by is not None and use_by < on
    if not past and found.left_h > 0 and found.share < NEAR:
        return _by_label(roll, on, jobs, shop)
    dead = past or found.left_h <= 0
    now = "; it lies out now" if found.is_out else ""
    hours = f"{found.used_h:.0f} h out of the freezer, {found.left_h:.0f} h left{now}."
    begun = [spell.out_at for spell in roll.out_spells.all() if spell.back_at is None]
    return WatchItem(
        kind="prepreg",
        severity=Severity.URGENT if dead or found.is_out else Severity.SOON,
        what=roll_name(roll, shop),
        cause=f"Its label ended on {use_by}." if past else hours,
        to_do="Do not use it in structure." if dead else "Use it next, or put it back in the freezer now.",
        page="roll",
        page_arg=roll.code,
        since=use_by if past else timezone.localdate(min(begun)) if begun else None,
        due=use_by if past else found.ends_on(at),
        **roll_at_risk(roll, jobs),
    )


def _by_label(roll: Roll, on: datetime.date, jobs: Sequence[str], shop: Shop) -> WatchItem | None:
    use_by = use_by_of(roll)
    if use_by is None or use_by > on + datetime.timedelta(days=shop.resin_warning_days):
        return None
    past = use_by < on
    return WatchItem(
        kind="roll_date",
        severity=Severity.URGENT if past else Severity.SOON,
        what=roll_name(roll, shop),
        cause=f"Its label {'ended' if past else 'ends'} on {use_by}.",
        to_do="Do not cut parts from it: show it to the owner." if past else "Cut from this one first.",
        page="roll",
        page_arg=roll.code,
        since=use_by if past else roll.received_on,
        due=use_by,
        **roll_at_risk(roll, jobs),
    )
