"""Cuts that were made while a phone had no network, and are told afterwards."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock.calc.uncertainty import Estimate
from shopstock.models import Movement, Roll, SetAside

from .checks import metres, require_positive
from .lines import write_line
from .locking import earlier, lock_roll
from .measurements import give_back_lost
from .once import one_transaction
from .set_asides import close_set_aside

OLDEST = datetime.timedelta(days=60)  # a phone whose clock says more than that is wrong


@one_transaction
def record_queued_cut(
    *,
    roll: Roll,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    happened_at: datetime.datetime,
    set_aside: SetAside | None = None,
    reason: str = "",
    cause: str = "",
) -> Movement:
    """Write down a cut that has happened already: refusing it would make the ledger wrong, not right.

    With a `cause` it is a length that was cut away as lost, and `reason` says why.

    What is taken beyond the ledger is found first by a line of its own, and the roll is to be recounted. Promises that
    the roll cannot keep any more are given back; they stand on the line as `given_back`, the excess as `over_mm`.
    """
    roll = lock_roll(roll)
    kind = Movement.Kind.LOSS if cause else Movement.Kind.CUT
    line = earlier(key, roll_id=roll.pk, kind=kind, delta_mm=-length_mm)
    if line is not None:
        return line
    require_positive(length_mm)
    wish = {"by": by, "at": at, "happened_at": min(max(happened_at, at - OLDEST), at)}
    promise = _fulfilled(roll, set_aside, at=at)
    over_mm = max(0, length_mm - roll.length_mm)
    lost = give_back_lost(roll, roll.length_mm + over_mm - length_mm, at=at)
    why = _what_is_odd(roll, over_mm)
    if why:
        roll.recount_reason, roll.recount_since = why, roll.recount_since or at
    if over_mm:
        _find(roll, over_mm, key=key, **wish)
    purpose = reason or (set_aside.purpose if set_aside else "")
    line = write_line(roll, kind, -length_mm, key=key, reason=purpose, set_aside=promise, cause=cause, **wish)
    line.given_back, line.over_mm = lost, over_mm
    return line


def _fulfilled(roll: Roll, promise: SetAside | None, *, at: datetime.datetime) -> SetAside | None:
    """The promise, closed by this cut; None where there was none, or it was cut or given back in the meantime."""
    if promise is None or promise.roll_id != roll.pk:
        return None
    return promise if close_set_aside(roll, promise, SetAside.State.CUT, at=at) else None


def _what_is_odd(roll: Roll, over_mm: int) -> str:
    if over_mm:
        return f"a cut made without network took {metres(over_mm)} more than was booked"
    if not roll.is_usable:
        return "it was cut without network while it was quarantined"
    return ""


def _find(roll: Roll, over_mm: int, **wish) -> Movement:
    """The cloth that was there although the ledger did not know of it; how much more there is nobody knows."""
    doubt = Estimate(roll.length_mm + over_mm, max(roll.estimate.uncertainty_mm, float(over_mm)))
    wish["key"] = f"{wish['key']}:found"
    return write_line(roll, Movement.Kind.RECOUNT, over_mm, reason="found by over-cut", doubt=doubt, **wish)
