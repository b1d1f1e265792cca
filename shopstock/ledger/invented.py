"""Rolls with a whole life of lines at once, invented, to measure the program at size. Never for a real store."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from shopstock.models import Movement, Place, Reinforcement, Roll, Supplier
from shopstock.models.roll import STILL_OPEN

from .chain import chain_on

LINES_AT_ONCE = 2000


@dataclass(frozen=True)
class InventedRoll:
    """A roll received at `at`, and the lengths cut from it, each with its time and purpose."""

    code: str
    reinforcement: Reinforcement
    supplier: Supplier
    place: Place
    lot: str
    length_mm: int
    at: datetime.datetime
    cuts: tuple[tuple[datetime.datetime, int, str], ...]


@transaction.atomic
def record_invented(invented: Sequence[InventedRoll], *, by: AbstractBaseUser) -> int:
    """Write rolls and their lines as single receipts and cuts would; returns how many lines."""
    pairs = [(_roll(life), life) for life in invented]
    lines = [line for roll, life in pairs for line in _lines(roll, life, by)]
    Roll.objects.bulk_create([roll for roll, _ in pairs])
    Movement.objects.bulk_create(lines, batch_size=LINES_AT_ONCE)
    return len(lines)


def _roll(life: InventedRoll) -> Roll:
    return Roll(
        code=life.code,
        reinforcement=life.reinforcement,
        supplier=life.supplier,
        place=life.place,
        lot=life.lot,
        width_mm=life.reinforcement.width_mm,
        label_length_mm=life.length_mm,
        received_on=life.at.date(),
        cuts_since_measured=len(life.cuts),
    )


def _lines(roll: Roll, life: InventedRoll, by: AbstractBaseUser) -> list[Movement]:
    wishes = [(life.at, Movement.Kind.RECEIPT, life.length_mm, "")]
    wishes += [(at, Movement.Kind.CUT, -length_mm, purpose) for at, length_mm, purpose in life.cuts]
    lines = []
    for number, (at, kind, delta_mm, reason) in enumerate(wishes):
        roll.length_mm += delta_mm
        line = Movement(
            roll=roll,
            kind=kind,
            delta_mm=delta_mm,
            balance_after_mm=roll.length_mm,
            happened_at=at,
            recorded_at=at,
            by=by,
            key=f"big-{roll.code}-{number}",
            reason=reason,
        )
        chain_on(roll, line)
        lines.append(line)
    roll.closed_on = wishes[-1][0].date() if roll.length_mm == 0 else STILL_OPEN
    return lines
