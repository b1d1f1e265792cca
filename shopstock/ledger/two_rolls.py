"""Lines that leave one roll and enter another: a roll wound onto a second tube, two rolls spliced into one."""

import datetime
from math import hypot

from django.contrib.auth.models import AbstractBaseUser

from shopstock.calc.roll_estimate import U_CUT_MM, from_tape
from shopstock.calc.uncertainty import Estimate
from shopstock.calc.winding import Marked, joined_on, wound_off
from shopstock.models import Fault, Movement, Place, Roll

from .checks import metres, promises_lost, require_length, require_positive, require_promises_kept
from .errors import LedgerError
from .faults import forget_cut_off
from .lines import write_line
from .locking import earlier, lock_roll, lock_rolls, open_faults, open_set_asides
from .movements import new_code
from .once import one_transaction

HALF_SPLICE_MM = 50
WIDTHS_DIFFER_MM = 5


@one_transaction
def split_roll(
    *,
    roll: Roll,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    place: Place | None = None,
    tube_g: int | None = None,
    core_mm: int | None = None,
) -> Roll:
    """Wind a length from the free end onto a second tube; what lay outside lies inside on the new roll."""
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.SPLIT, delta_mm=-length_mm)
    if line is not None:
        return line.paired.get(kind=Movement.Kind.SPLIT).roll
    roll = lock_roll(roll)
    require_positive(length_mm)
    require_length(roll, length_mm)
    if length_mm == roll.length_mm:
        raise LedgerError(f"That is all of {roll}. Wind off less, or move the roll as it is.")
    left_mm = roll.length_mm - length_mm
    require_promises_kept(roll, left_mm)
    taped = from_tape(length_mm)
    second = _second_roll(roll, length_mm, place=place, tube_g=tube_g, core_mm=core_mm)
    _hand_over_faults(roll, second, left_mm, by=by, at=at)
    rest = roll.estimate.less(length_mm, hypot(taped.uncertainty_mm, U_CUT_MM))
    wish = {"by": by, "at": at}
    gone = write_line(
        roll, Movement.Kind.SPLIT, -length_mm, key=key, reason=f"wound onto {second.code}", doubt=rest, **wish
    )
    reason = f"wound off {roll.code}"
    write_line(second, Movement.Kind.SPLIT, length_mm, key=f"{key}:2", reason=reason, doubt=taped, pair=gone, **wish)
    return second


def _second_roll(roll: Roll, length_mm: int, **tube) -> Roll:
    return Roll.objects.create(
        code=new_code(),
        kind=roll.kind,
        reinforcement=roll.reinforcement,
        parent=roll,
        supplier=roll.supplier,
        lot=roll.lot,
        place=tube["place"] or roll.place,
        lying=roll.lying,
        width_mm=roll.width_mm,
        label_length_mm=length_mm,
        tube_g=tube["tube_g"],
        core_mm=tube["core_mm"],
        grade=roll.grade,
        condition=roll.condition,
        condition_reason=roll.condition_reason,
        condition_since=roll.condition_since,
        received_on=roll.received_on,
    )


def _hand_over_faults(roll: Roll, second: Roll, left_mm: int, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    for fault in open_faults(roll):
        here, there = wound_off(Marked.of(fault, roll.width_mm), roll.length_mm, left_mm)
        if there is not None:
            copy_fault(fault, second, there)
        if here is None:
            fault.cleared_by, fault.cleared_at = by, at
            fault.note = f"{fault.note} went to {second.code}".strip()[:200]
        else:
            fault.from_mm, fault.to_mm = here.from_mm, here.to_mm
        fault.save()


def copy_fault(fault: Fault, to: Roll, where: Marked) -> Fault:
    return Fault.objects.create(
        roll=to,
        from_mm=where.from_mm,
        to_mm=where.to_mm,
        across_from_mm=where.across_mm and where.across_mm[0],
        across_to_mm=where.across_mm and where.across_mm[1],
        cause=fault.cause,
        note=fault.note,
        photo=fault.photo,
        found_by=fault.found_by,
        found_at=fault.found_at,
    )


@one_transaction
def join_rolls(*, roll: Roll, other: Roll, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    """Wind all of `other` onto `roll`: its free end is spliced to the roll's, and the splice is a fault."""
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.JOIN)
    if line is not None:
        return line
    rolls = lock_rolls([roll.pk, other.pk])
    roll, other = rolls[roll.pk], rolls[other.pk]
    _require_alike(roll, other)
    length_mm, below_mm, added = other.length_mm, roll.length_mm, other.estimate
    both = Estimate(below_mm, hypot(roll.estimate.own_mm, added.uncertainty_mm), roll.estimate.shared_mm)
    forget_cut_off(roll, by=by, at=at)
    for fault in open_faults(other):
        copy_fault(fault, roll, joined_on(Marked.of(fault, other.width_mm), length_mm, below_mm))
    _splice(roll, other, below_mm, by=by, at=at)
    wish = {"by": by, "at": at}
    gone = write_line(other, Movement.Kind.JOIN, -length_mm, key=f"{key}:2", reason=f"wound onto {roll.code}", **wish)
    line = write_line(
        roll, Movement.Kind.JOIN, length_mm, key=key, reason=f"{other.code} wound on", pair=gone, doubt=both, **wish
    )
    if promises_lost(roll):
        raise LedgerError(f"With the splice, what is set aside on {roll} does not come out of it any more.")
    return line


def splice_note(other: Roll) -> str:
    return f"{other.code} begins here"


def _splice(roll: Roll, other: Roll, at_mm: int, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    Fault.objects.create(
        roll=roll,
        from_mm=max(0, at_mm - HALF_SPLICE_MM),
        to_mm=at_mm + min(HALF_SPLICE_MM, other.length_mm),
        cause=Fault.Cause.SPLICE,
        note=splice_note(other),
        found_by=by,
        found_at=at,
    )


def _require_alike(roll: Roll, other: Roll) -> None:
    if roll.pk == other.pk:
        raise LedgerError("Those are the same roll. Scan the label of the other one.")
    for one in (roll, other):
        if not one.is_usable:
            raise LedgerError(f"{one} is {'quarantined' if one.is_open else 'used up'}: join only sound rolls.")
    if roll.reinforcement_id != other.reinforcement_id:
        raise LedgerError(f"{roll} is {roll.reinforcement}, {other} is {other.reinforcement}: keep them apart.")
    if abs(roll.width_mm - other.width_mm) > WIDTHS_DIFFER_MM:
        raise LedgerError(f"{roll} is {roll.width_mm} mm wide, {other} {other.width_mm} mm: keep them apart.")
    if roll.lot != other.lot or roll.grade != other.grade:
        raise LedgerError(
            f"{roll} is of lot {roll.lot or 'unknown'}, {other} of lot {other.lot or 'unknown'}: keep lots and grades "
            "apart, or a part cannot be traced."
        )
    promised = open_set_asides(other)
    if promised:
        raise LedgerError(
            f"{metres(sum(p.length_mm for p in promised))} of {other} is set aside for {promised[0].purpose}. "
            "Have it given back first."
        )
