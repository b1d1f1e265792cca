import datetime
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.models import Fault, Movement, Roll, SetAside

from .checks import metres, promises_lost
from .errors import LedgerError
from .lines import refresh_roll, write_line
from .locking import earlier, lock_roll
from .once import one_transaction
from .set_asides import close_set_aside


@dataclass(frozen=True)
class FoundFault:
    """A fault as a person sees it: measured from the free end."""

    from_free_mm: int
    to_free_mm: int
    cause: str
    note: str = ""
    across_mm: tuple[int, int] | None = None  # from the left edge; None crosses the whole width
    photo: str = ""


@one_transaction
def report_fault(
    *, roll: Roll, fault: FoundFault, by: AbstractBaseUser, at: datetime.datetime, key: str
) -> tuple[Movement, list[SetAside]]:
    """Mark a stretch as not to be used; returns the line and the promises given back because they crossed it."""
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.FAULT)
    if line is not None:
        return line, []
    line = add_fault(roll, fault, by=by, at=at, key=key)
    return line, line.given_back


def add_fault(roll: Roll, fault: FoundFault, *, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    """Add a fault to a locked or new roll."""
    if not 0 <= fault.from_free_mm < fault.to_free_mm <= roll.length_mm:
        raise LedgerError(
            f"A fault must lie on the roll: from 0 to {metres(roll.length_mm)} from the free end, "
            f"not {metres(fault.from_free_mm)} to {metres(fault.to_free_mm)}."
        )
    _require_across(roll, fault)
    made = Fault.objects.create(
        roll=roll,
        from_mm=roll.length_mm - fault.to_free_mm,
        to_mm=roll.length_mm - fault.from_free_mm,
        across_from_mm=fault.across_mm and fault.across_mm[0],
        across_to_mm=fault.across_mm and fault.across_mm[1],
        cause=fault.cause,
        note=fault.note,
        photo=fault.photo,
        found_by=by,
        found_at=at,
    )
    lost = promises_lost(roll)
    for promise in lost:
        close_set_aside(roll, promise, SetAside.State.GIVEN_BACK, at=at)
    where = f"{metres(fault.from_free_mm)} to {metres(fault.to_free_mm)} from the free end"
    line = write_line(
        roll,
        Movement.Kind.FAULT,
        0,
        by=by,
        at=at,
        key=key,
        reason=f"{made.get_cause_display()}, {where}{': ' + fault.note if fault.note else ''}"[:300],
    )
    line.given_back = lost
    return line


def forget_cut_off(roll: Roll, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    """Before a locked roll gets longer: faults that went with what was cut off must not come back with new cloth."""
    gone = Fault.objects.filter(roll=roll, cleared_at__isnull=True, from_mm__gte=roll.length_mm)
    gone.update(cleared_by=by, cleared_at=at)
    Fault.objects.filter(roll=roll, cleared_at__isnull=True, to_mm__gt=roll.length_mm).update(to_mm=roll.length_mm)


CROSSING = (Fault.Cause.FOLD, Fault.Cause.CREASE, Fault.Cause.SPLICE)


def _require_across(roll: Roll, fault: FoundFault) -> None:
    if fault.across_mm is None:
        return
    if fault.cause in CROSSING:
        raise LedgerError(f"A {Fault.Cause(fault.cause).label} runs across the whole width. Leave its width empty.")
    low, high = fault.across_mm
    if not 0 <= low < high <= roll.width_mm:
        raise LedgerError(f"Across the roll there are 0 to {roll.width_mm} mm, not {low} to {high} mm.")


@one_transaction
def clear_fault(*, fault: Fault, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str) -> Movement:
    """Say that a stretch may be used after all; who decided and why stays in the ledger."""
    roll = lock_roll(fault.roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.FAULT_CLEARED)
    if line is not None:
        return line
    if not reason.strip():
        raise LedgerError("Say why the stretch may be used: the decision is kept under your name.")
    if not Fault.objects.filter(pk=fault.pk, cleared_at__isnull=True).update(cleared_by=by, cleared_at=at):
        raise LedgerError("That fault was already cleared.")
    refresh_roll(roll, on=timezone.localdate(at))
    return write_line(
        roll, Movement.Kind.FAULT_CLEARED, 0, by=by, at=at, key=key, reason=f"{fault.get_cause_display()}: {reason}"
    )
