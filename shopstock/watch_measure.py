"""Rolls worth measuring next, and offcuts kept longer than they are worth."""

import datetime
from collections.abc import Iterator

from .calc.uncertainty import ONE_SIDED_95, amounts
from .calc.units import format_length, format_width
from .models import Roll, Shop
from .queries import keeping_rule, open_rolls, usable_rolls
from .watch_items import Severity, WatchItem

MOST = 5
LEAST_DOUBT_MM = 200  # give or take; below that a measurement gains nothing


def worth_measuring(shop: Shop) -> Iterator[WatchItem]:
    """Those where the doubt, times what is planned from them, is largest."""
    promised = usable_rolls(non_structural=True).filter(set_aside_mm__gt=0)
    rolls = [roll for roll in promised if roll.estimate.give_or_take_mm >= LEAST_DOUBT_MM]
    rolls.sort(key=lambda roll: roll.estimate.uncertainty_mm * roll.set_aside_mm, reverse=True)
    return (_worth_measuring(roll, rank, shop) for rank, roll in enumerate(rolls[:MOST]))


def _worth_measuring(roll: Roll, rank: int, shop: Shop) -> WatchItem:
    length, doubt = amounts(roll.length_mm, roll.estimate.uncertainty_mm, shop.units)
    promised = format_length(roll.set_aside_mm, shop.units)
    cuts = roll.cuts_since_measured
    after = f", after {cuts} cut{'' if cuts == 1 else 's'}" if cuts else ""
    return WatchItem(
        kind="measure_next",
        severity=Severity.SOON if _may_run_short(roll) else Severity.NOTE,
        what=f"{roll.get_kind_display().capitalize()} {roll.code}, {roll.reinforcement}",
        cause=f"{length}, give or take {doubt}{after}; {promised} set aside.",
        to_do="Weigh it, or lay it on the table.",
        page="roll-recount",
        page_arg=roll.code,
        rank=rank,
    )


def _may_run_short(roll: Roll) -> bool:
    """What is set aside does not surely come out of it."""
    return roll.length_mm - ONE_SIDED_95 * roll.estimate.uncertainty_mm < roll.set_aside_mm + roll.faulty_mm


def old_offcuts(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Offcuts past the keeping time of their cloth, the oldest first; what is set aside is spoken for."""
    for piece in open_rolls().filter(kind=Roll.Kind.OFFCUT, set_aside_mm=0).order_by("received_on", "pk"):
        due = keeping_rule(piece.reinforcement, shop).look_again_on(piece.received_on)
        if due <= on:
            yield _old_offcut(piece, due, shop)


def _old_offcut(piece: Roll, due: datetime.date, shop: Shop) -> WatchItem:
    size = f"{format_length(piece.length_mm, shop.units)} × {format_width(piece.width_mm, shop.units)}"
    place = f", {piece.place}" if piece.place else ""
    return WatchItem(
        kind="old_offcut",
        severity=Severity.NOTE,
        what=f"Offcut {piece.code}, {piece.reinforcement}, {size}{place}",
        cause=f"Kept since {piece.received_on}.",
        to_do="Use it for patches and trials, or bin it.",
        page="roll-bin",
        page_arg=piece.code,
        since=piece.received_on,
        due=due,
    )
