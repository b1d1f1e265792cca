import datetime
from collections.abc import Sequence
from decimal import Decimal
from math import sqrt

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.calc.roll_estimate import U_CUT_MM
from shopstock.calc.stock_code import make_code
from shopstock.calc.uncertainty import Estimate
from shopstock.models import Container, Measurement, Movement, Place, Reinforcement, Roll, SetAside, Supplier

from .checks import (
    require_clean,
    require_length,
    require_positive,
    require_promises_kept,
    require_usable,
)
from .doubt import CUTTING
from .errors import LedgerError, NotEnough, StaleStock
from .faults import FoundFault, add_fault
from .freezer import note_move, require_fresh
from .lines import write_line
from .locking import earlier, lock_roll
from .once import one_transaction
from .set_asides import close_set_aside
from .standing import require_may_stand


def new_code() -> str:
    """A code that no roll and no container of this shop has."""
    while True:
        code = make_code()
        if not Roll.objects.filter(code=code).exists() and not Container.objects.filter(code=code).exists():
            return code


@one_transaction
def record_receipt(
    *,
    reinforcement: Reinforcement,
    width_mm: int,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    received_on: datetime.date | None = None,
    lot: str = "",
    supplier: Supplier | None = None,
    place: Place | None = None,
    lying: str = Roll.Lying.CORE,
    gross_g: int | None = None,
    tube_g: int | None = None,
    core_mm: int | None = None,
    outer_mm: int | None = None,
    price: Decimal | None = None,
    faults: Sequence[FoundFault] = (),
    quarantine_reason: str = "",
    label_length_mm: int | None = None,
    reason: str = "",
) -> Roll:
    """Log one roll that came in, with the faults the eye found; what fails inspection starts in quarantine."""
    line = earlier(key, kind=Movement.Kind.RECEIPT, delta_mm=length_mm)
    if line is not None:
        return line.roll
    require_positive(length_mm)
    require_positive(width_mm)
    roll = Roll.objects.create(
        code=new_code(),
        reinforcement=reinforcement,
        width_mm=width_mm,
        label_length_mm=label_length_mm or length_mm,
        lot=lot,
        supplier=supplier,
        place=place,
        lying=lying,
        gross_g=gross_g,
        tube_g=tube_g,
        core_mm=core_mm,
        outer_mm=outer_mm,
        price=price,
        received_on=received_on or timezone.localdate(at),
    )
    if place is not None:
        require_may_stand(roll, place)
        note_move(roll, place, by=by, at=at)
    write_line(roll, Movement.Kind.RECEIPT, length_mm, by=by, at=at, key=key, reason=reason)
    for number, fault in enumerate(faults):
        add_fault(roll, fault, by=by, at=at, key=f"{key}:f{number}")
    if quarantine_reason:
        put_in_quarantine(roll, quarantine_reason, by=by, at=at, key=f"{key}:q")
    return roll


@one_transaction
def record_cut(
    *,
    roll: Roll,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    set_aside: SetAside | None = None,
    happened_at: datetime.datetime | None = None,
    reason: str = "",
) -> Movement:
    """Take a length off the free end; with `set_aside`, the promise it fulfils is closed by the same line."""
    roll = lock_roll(roll)
    line = earlier(
        key, roll_id=roll.pk, kind=Movement.Kind.CUT, delta_mm=-length_mm, set_aside_id=set_aside and set_aside.pk
    )
    if line is not None:
        return line
    require_positive(length_mm)
    require_usable(roll)
    require_fresh(roll, at)
    require_length(roll, length_mm)
    # A cut by hand runs over by centimetres: running into a fault past the planned length is what happened.
    require_clean(roll, min(length_mm, set_aside.length_mm) if set_aside else length_mm, set_aside)
    require_promises_kept(roll, roll.length_mm - length_mm, besides=set_aside)
    if set_aside is not None:
        _fulfil(roll, set_aside, at=at)
    return write_line(
        roll,
        Movement.Kind.CUT,
        -length_mm,
        by=by,
        at=at,
        key=key,
        happened_at=happened_at,
        reason=reason or (set_aside.purpose if set_aside else ""),
        set_aside=set_aside,
    )


def _fulfil(roll: Roll, promise: SetAside, *, at: datetime.datetime) -> None:
    if promise.roll_id != roll.pk:
        raise LedgerError("That cut belongs to another roll. Scan the label of the roll on the table again.")
    if not close_set_aside(roll, promise, SetAside.State.CUT, at=at):
        raise StaleStock("That cut was already made or the plan has changed. Open the roll again to see what is next.")


@one_transaction
def record_loss(
    *,
    roll: Roll,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    reason: str,
    cause: str = Movement.Cause.OTHER,
) -> Movement:
    """Cut a length away from the free end as lost: a fault, a dirty end, cloth no job can use."""
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.LOSS, delta_mm=-length_mm)
    if line is not None:
        return line
    require_positive(length_mm)
    require_length(roll, length_mm)
    if not reason.strip():
        raise LedgerError("Say why the cloth is cut away: the loss is totalled by reason.")
    require_promises_kept(roll, roll.length_mm - length_mm)
    return write_line(roll, Movement.Kind.LOSS, -length_mm, by=by, at=at, key=key, reason=reason, cause=cause)


@one_transaction
def record_offcut(
    *,
    parent: Roll,
    width_mm: int,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    place: Place | None = None,
    cut: Movement | None = None,
) -> Roll:
    """Keep a piece that was cut from a roll as stock of its own: warp along its length, its parent's lot.

    `cut` is the line that took it off the roll; without it the roll's last one is meant.
    """
    line = earlier(key, kind=Movement.Kind.OFFCUT, delta_mm=length_mm)
    if line is not None:
        return line.roll
    require_positive(length_mm)
    require_positive(width_mm)
    if width_mm > parent.width_mm:
        raise LedgerError(f"An offcut of {parent} cannot be wider than the roll ({parent.width_mm} mm).")
    roll = Roll.objects.create(
        code=new_code(),
        kind=Roll.Kind.OFFCUT,
        reinforcement=parent.reinforcement,
        parent=parent,
        lot=parent.lot,
        supplier=parent.supplier,
        place=place or parent.place,
        lying=Roll.Lying.FLAT,
        width_mm=width_mm,
        label_length_mm=length_mm,
        grade=parent.grade,
        received_on=timezone.localdate(at),
    )
    source = cut or parent.movements.filter(kind__in=CUTTING).first()
    write_line(roll, Movement.Kind.OFFCUT, length_mm, by=by, at=at, key=key, reason=f"from {parent.code}", pair=source)
    return roll


@one_transaction
def correct(*, movement: Movement, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str) -> Movement:
    """Take a wrong line back with a new line that names it; the wrong one stays in the ledger."""
    roll = lock_roll(movement.roll)
    line = earlier(key, roll_id=roll.pk, corrects_id=movement.pk)
    if line is not None:
        return line
    if movement.delta_mm == 0 or movement.kind == Movement.Kind.CORRECTION:
        raise LedgerError("Only a line that changed a length, and is no correction itself, can be taken back.")
    if Movement.objects.filter(corrects=movement).exists():
        raise LedgerError("That line was already taken back.")
    if not reason.strip():
        raise LedgerError("Say what was wrong with the line.")
    if movement.kind in (Movement.Kind.SPLIT, Movement.Kind.JOIN):
        raise LedgerError("A split or join changed two rolls: it is taken back on both at once, or on none.")
    left_mm = roll.length_mm - movement.delta_mm
    if left_mm < 0:
        raise NotEnough(f"{roll} has been cut since: taking that line back would leave less than nothing. Recount it.")
    require_promises_kept(roll, left_mm)
    return write_line(
        roll,
        Movement.Kind.CORRECTION,
        -movement.delta_mm,
        by=by,
        at=at,
        key=key,
        reason=reason,
        corrects=movement,
        doubt=_doubt_before(roll, movement),
    )


def _doubt_before(roll: Roll, movement: Movement) -> Estimate | None:
    """A recount taken back leaves the roll as unsure as it was before, and the cuts since on top."""
    measurement = Measurement.objects.filter(movement=movement).first()
    if measurement is None:
        return None
    shared = measurement.booked_doubt_sources
    own_mm2 = measurement.booked_uncertainty_mm**2 - sum(part**2 for part in shared.values())
    cuts = roll.cuts_since_measured
    roll.cuts_since_measured = measurement.cuts_before + cuts
    return Estimate(roll.length_mm, sqrt(max(0.0, own_mm2) + cuts * U_CUT_MM**2), shared)


@one_transaction
def move_roll(
    *,
    roll: Roll,
    place: Place,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    lying: str | None = None,
    note: str = "",
    was_found_there: bool = False,
) -> Movement:
    """Put it somewhere else; `note` keeps a warning that was passed over, and why.

    What a round found somewhere lies there, forbidden or not: it is written, and the watch says what is wrong.
    """
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.MOVE)
    if line is not None:
        return line
    roll.lying = lying or roll.lying
    if not was_found_there:
        require_may_stand(roll, place)
    spell = note_move(roll, place, by=by, at=at)
    roll.place = place
    reason = "; ".join(filter(None, (f"to {place}", spell, note)))
    return write_line(roll, Movement.Kind.MOVE, 0, by=by, at=at, key=key, reason=reason[:300])


@one_transaction
def quarantine(*, roll: Roll, reason: str, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    """Keep a roll from plans and cuts until someone releases it by name."""
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.QUARANTINE)
    if line is not None:
        return line
    if not reason.strip():
        raise LedgerError("Say what is wrong with the roll, so that the next person knows.")
    if roll.condition == Roll.Condition.QUARANTINED:
        raise LedgerError(f"{roll} is already quarantined ({roll.condition_reason}).")
    return put_in_quarantine(roll, reason, by=by, at=at, key=key)


def put_in_quarantine(roll: Roll, reason: str, *, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    roll.condition, roll.condition_reason, roll.condition_since = Roll.Condition.QUARANTINED, reason, at
    return write_line(roll, Movement.Kind.QUARANTINE, 0, by=by, at=at, key=key, reason=reason)


@one_transaction
def release(*, roll: Roll, reason: str, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    """Let a quarantined roll be used again; who decided and why stays in the ledger."""
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.RELEASE)
    if line is not None:
        return line
    if roll.condition != Roll.Condition.QUARANTINED:
        raise LedgerError(f"{roll} is not quarantined.")
    if not reason.strip():
        raise LedgerError("Say why the roll may be used: the decision is kept under your name.")
    roll.condition, roll.condition_reason, roll.condition_since = Roll.Condition.USABLE, reason, at
    return write_line(roll, Movement.Kind.RELEASE, 0, by=by, at=at, key=key, reason=reason)
