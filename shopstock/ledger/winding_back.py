"""Taking a split or a join back: it changed two rolls, so both lines go, and the faults return to where they lay."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock.calc.winding import Marked, joined_on
from shopstock.models import Fault, Movement, Roll

from .checks import require_promises_kept
from .errors import LedgerError
from .faults import forget_cut_off
from .lines import write_line
from .locking import earlier, lock_rolls, open_faults
from .once import one_transaction
from .two_rolls import copy_fault, splice_note

WINDING = (Movement.Kind.SPLIT, Movement.Kind.JOIN)


@one_transaction
def take_back_winding(
    *, movement: Movement, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str
) -> Movement:
    """Undo a split or a join on both rolls, as long as no length of either changed since; returns the line on its roll.

    A pair whose rolls were cut or counted since is wound back as cloth is, by the opposite movement.
    """
    gone = movement if movement.delta_mm < 0 else movement.pair
    came = gone.paired.get(kind=movement.kind)
    rolls = lock_rolls([gone.roll_id, came.roll_id])
    line = earlier(key, roll_id=movement.roll_id, corrects_id=movement.pk)
    if line is not None:
        return line
    if not reason.strip():
        raise LedgerError("Say what was wrong with the line.")
    giver, taker = rolls[gone.roll_id], rolls[came.roll_id]
    for roll, half in ((giver, gone), (taker, came)):
        _require_last(roll, half, giver, taker)
    require_promises_kept(taker, taker.length_mm - came.delta_mm)
    back = _faults_of_split_back if movement.kind == Movement.Kind.SPLIT else _faults_of_join_back
    back(giver, taker, came, by=by, at=at)
    wish = {"by": by, "at": at, "reason": reason}
    other_key = f"{key}:2"
    lines = [
        write_line(
            roll,
            Movement.Kind.CORRECTION,
            -half.delta_mm,
            key=key if half.pk == movement.pk else other_key,
            corrects=half,
            **wish,
        )
        for roll, half in ((taker, came), (giver, gone))
    ]
    return next(line for line in lines if line.roll_id == movement.roll_id)


def _require_last(roll: Roll, half: Movement, giver: Roll, taker: Roll) -> None:
    last = roll.movements.exclude(delta_mm=0).first()
    if last.pk == half.pk:
        return
    if last.corrects_id == half.pk:
        raise LedgerError("That line was already taken back.")
    back = f"Join on {giver}" if half.kind == Movement.Kind.SPLIT else f"Split on {taker}"
    raise LedgerError(
        f"{roll} was {last.get_kind_display()} since, so the line cannot be taken back. "
        f"Wind the cloth back with {back}, or measure both rolls."
    )


def _faults_of_split_back(giver: Roll, taker: Roll, came: Movement, **who) -> None:
    """What lay on the second roll lies on the first again; a fault that the split cut in two is one again."""
    forget_cut_off(giver, **who)
    for fault in open_faults(taker):
        where = joined_on(Marked.of(fault, taker.width_mm), taker.length_mm, giver.length_mm)
        halves = Fault.objects.filter(roll=giver, cleared_at=None, to_mm=where.from_mm, cause=fault.cause)
        half = halves.filter(found_at=fault.found_at).first() if where.from_mm == giver.length_mm else None
        if half is None:
            copy_fault(fault, giver, where)
        else:
            half.to_mm = where.to_mm
            half.save(update_fields=["to_mm"])


def _faults_of_join_back(giver: Roll, taker: Roll, came: Movement, *, by: AbstractBaseUser, at) -> None:
    """The splice goes. The other roll has the faults it came with; those found since go along with their cloth."""
    below_mm, length_mm = taker.length_mm - came.delta_mm, came.delta_mm
    for fault in open_faults(taker):
        part = Marked.of(fault, taker.width_mm).clipped(below_mm, taker.length_mm)
        if part is None:
            continue
        is_splice = fault.cause == Fault.Cause.SPLICE and fault.note == splice_note(giver)
        if fault.found_at > came.recorded_at and not is_splice:
            copy_fault(fault, giver, part.moved(-below_mm).turned_over(length_mm))
        if is_splice or fault.from_mm >= below_mm:
            fault.cleared_by, fault.cleared_at = by, at
        else:
            fault.to_mm = below_mm
        fault.save()
