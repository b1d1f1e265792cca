"""Writes of a round: beginning it, counting a roll in it, and closing it in one transaction."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction

from shopstock import ledger
from shopstock.models import Place, RecountEntry, RecountRound, Roll

from .findings import findings_of

How, State = RecountEntry.How, RecountRound.State


class RoundOver(Exception):
    """Somebody has closed the round meanwhile."""


def start_round(
    *, tolerance_percent, tolerance_mm: int, by: AbstractBaseUser, at: datetime.datetime
) -> tuple[RecountRound, bool]:
    """Begin a round, or join the one that is open; True when it is new."""
    figures = {"tolerance_percent": tolerance_percent, "tolerance_mm": tolerance_mm}
    try:
        with transaction.atomic():
            return RecountRound.objects.create(started_by=by, started_at=at, **figures), True
    except IntegrityError:
        return RecountRound.objects.get(state=State.OPEN), False


def _hold_open(recount: RecountRound) -> None:
    """Take the write lock of the round, so that nobody closes it in between."""
    if not RecountRound.objects.filter(pk=recount.pk, state=State.OPEN).update(state=State.OPEN):
        raise RoundOver("This round was closed meanwhile. Start a new one, or measure the roll on its own page.")


@transaction.atomic
def count(
    *,
    recount: RecountRound,
    roll: Roll,
    place: Place | None,
    outcome,
    seen_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> RecountEntry:
    """Note a roll as found; `outcome` is None when it looks right. A second look at it replaces the first."""
    _hold_open(recount)
    roll = Roll.objects.get(pk=roll.pk)
    ledger.require_unchanged(roll, seen_mm)
    found = {
        "how": How.LOOKS_RIGHT if outcome is None else How.MEASURED,
        "place": place,
        "booked_mm": roll.length_mm,
        "length_mm": roll.length_mm if outcome is None else outcome.length_mm,
        "measured": {} if outcome is None else outcome.measured().as_data(),
        "by": by,
        "at": at,
    }
    return RecountEntry.objects.update_or_create(round=recount, roll=roll, defaults=found)[0]


@dataclass(frozen=True)
class Closed:
    corrected: int
    moved: int
    gone: int


@transaction.atomic
def close_round(*, recount: RecountRound, gone: Sequence[Roll], by: AbstractBaseUser, at: datetime.datetime) -> Closed:
    """Post every correction and move, all or none, and close the round."""
    _hold_open(recount)
    found = findings_of(recount)
    measured = [finding.entry for finding in found.counted if finding.entry.measured]
    missing = {roll.pk for roll in found.missing}
    gone = [roll for roll in gone if roll.pk in missing]
    corrections = [_correction(entry, recount) for entry in measured] + [_not_found(roll, recount, at) for roll in gone]
    ledger.record_corrections(corrections=corrections, by=by, at=at)
    for finding in found.elsewhere:
        key = f"round:{recount.pk}:move:{finding.roll.pk}"
        ledger.move_roll(roll=finding.roll, place=finding.entry.place, by=by, at=at, key=key, was_found_there=True)
    RecountRound.objects.filter(pk=recount.pk).update(state=State.CLOSED, closed_by=by, closed_at=at)
    return Closed(len(measured), len(found.elsewhere), len(gone))


def _correction(entry: RecountEntry, recount: RecountRound) -> ledger.Correction:
    return ledger.Correction(
        roll=entry.roll,
        measured=ledger.Measured.from_data(entry.measured),
        counted_at=entry.at,
        reason=f"{recount}, counted by {entry.by}",
        key=f"round:{recount.pk}:{entry.roll_id}",
    )


def _not_found(roll: Roll, recount: RecountRound, at: datetime.datetime) -> ledger.Correction:
    return ledger.Correction(
        roll=roll,
        measured=ledger.Measured.missing(),
        counted_at=at,
        reason=f"{recount}: not found",
        key=f"round:{recount.pk}:{roll.pk}",
    )


@transaction.atomic
def drop_round(*, recount: RecountRound, by: AbstractBaseUser, at: datetime.datetime) -> None:
    """Give a round up; what was counted in it changes nothing."""
    _hold_open(recount)
    RecountRound.objects.filter(pk=recount.pk).update(state=State.DROPPED, closed_by=by, closed_at=at)
