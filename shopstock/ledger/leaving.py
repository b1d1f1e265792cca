"""Cloth that leaves the store whole, and folded cloth whose fate is decided."""

import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import models

from shopstock.models import Movement, Roll, SetAside

from .errors import LedgerError, NotUsable
from .lines import write_line
from .locking import earlier, lock_roll, open_set_asides
from .movements import put_in_quarantine
from .once import one_transaction
from .set_asides import close_set_aside


@one_transaction
def return_roll(*, roll: Roll, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str) -> Movement:
    """Send all of a roll back to its supplier; what was set aside on it is given back."""
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.RETURN)
    if line is not None:
        return line
    if not roll.is_open:
        raise NotUsable(f"{roll} is used up: there is nothing to return.")
    if not reason.strip():
        raise LedgerError("Say why it goes back: the supplier will ask.")
    lost = _give_back_all(roll, at=at)
    to = f"to {roll.supplier}: " if roll.supplier else ""
    line = write_line(roll, Movement.Kind.RETURN, -roll.length_mm, by=by, at=at, key=key, reason=f"{to}{reason}"[:300])
    line.given_back = lost
    return line


def _give_back_all(roll: Roll, *, at: datetime.datetime) -> list[SetAside]:
    """Close every promise on a locked roll; the line written next stores what is set aside then."""
    lost = open_set_asides(roll)
    for promise in lost:
        close_set_aside(roll, promise, SetAside.State.GIVEN_BACK, at=at)
    return lost


class FoldDecision(models.TextChoices):
    UNROLLED = "unrolled", "unrolled flat, creases marked as faults, on a tube again"
    DOWNGRADED = "downgraded", "for non-structural parts only"
    CLAIMED = "claimed", "claimed from the supplier"
    RESTORED = "restored", "for any part again"


@one_transaction
def decide_fold(
    *,
    roll: Roll,
    decision: str,
    lying: str,
    note: str,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
) -> Movement:
    """Keep what was decided about cloth that was found folded, by whom, and what follows from it.

    Cloth set aside for a part that may carry load must not be cut once it is downgraded or claimed: all of it is given
    back, and stands on the line as `given_back`. Lifting a downgrade needs a reason.
    """
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.FOLD)
    if line is not None:
        return line
    if decision in (FoldDecision.UNROLLED, FoldDecision.RESTORED) and lying == Roll.Lying.FOLDED:
        raise LedgerError("Unrolled cloth does not lie folded any more. Say how it lies now.")
    if decision == FoldDecision.RESTORED and not note.strip():
        raise LedgerError("Say why it may go into any part again: the decision is kept under your name.")
    roll.lying = lying
    lost = _give_back_all(roll, at=at) if decision in (FoldDecision.DOWNGRADED, FoldDecision.CLAIMED) else []
    if decision == FoldDecision.DOWNGRADED:
        roll.grade = Roll.Grade.NON_STRUCTURAL
    elif decision == FoldDecision.RESTORED:
        roll.grade = Roll.Grade.STRUCTURAL
    reason = f"{FoldDecision(decision).label}{': ' + note if note else ''}"[:300]
    line = write_line(roll, Movement.Kind.FOLD, 0, by=by, at=at, key=key, reason=reason)
    line.given_back = lost
    if decision == FoldDecision.CLAIMED and roll.condition != Roll.Condition.QUARANTINED:
        put_in_quarantine(roll, f"folded, {FoldDecision.CLAIMED.label}"[:200], by=by, at=at, key=f"{key}:q")
    return line
