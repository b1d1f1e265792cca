"""What must hold before a line is written, each with the message that says what to do."""

from collections.abc import Sequence

from shopstock.calc.stretches import Promised, clean_stretches, starts_of
from shopstock.models import Roll, SetAside

from .errors import LedgerError, NotEnough, NotUsable
from .locking import open_faults, open_set_asides


def metres(length_mm: int) -> str:
    return f"{length_mm / 1000:.2f} m"


def require_positive(length_mm: int) -> None:
    if length_mm <= 0:
        raise LedgerError("A length must be more than nothing. Enter the length in metres or millimetres.")


def require_usable(roll: Roll) -> None:
    if not roll.is_open:
        raise NotUsable(f"{roll} is used up. Scan the roll in your hands; if it is this one, ask for a recount.")
    if roll.condition == Roll.Condition.QUARANTINED:
        raise NotUsable(
            f"{roll} is quarantined ({roll.condition_reason}). Take another roll, or ask the owner to release it."
        )


def require_length(roll: Roll, length_mm: int) -> None:
    if length_mm > roll.length_mm:
        raise NotEnough(
            f"{roll} has {metres(roll.length_mm)} left; {metres(length_mm)} is more than that. "
            "Check the length you typed. If the cloth is really there, ask for a recount first."
        )


def stretches(roll: Roll, length_mm: int | None = None) -> list[tuple[int, int]]:
    """Clean stretches from the free end, of the roll as it stands or after its length became `length_mm`."""
    length = roll.length_mm if length_mm is None else length_mm
    return clean_stretches(length, [(fault.from_mm, fault.to_mm) for fault in open_faults(roll)])


def places_of(roll: Roll, promises: Sequence[Promised], length_mm: int | None = None) -> list[int] | None:
    """Where promised strips come to lie, in mm from the free end of the roll as it stands or at `length_mm`."""
    length = roll.length_mm if length_mm is None else length_mm
    return starts_of(promises, length, open_faults(roll))


def require_clean(roll: Roll, length_mm: int, promise: SetAside | None = None) -> None:
    """A cut of a locked roll must come off one clean stretch at its free end, or lie beside faults as planned."""
    if roll.faulty_mm == roll.set_aside_mm == 0 and length_mm <= roll.length_mm:
        return
    if promise is not None and promise.taken_across and places_of(roll, [promise]) == [0]:
        return
    clean = stretches(roll)
    first = clean[0] if clean and clean[0][0] == 0 else (0, 0)
    if length_mm > first[1]:
        fault = next(f for f in open_faults(roll) if roll.length_mm - f.to_mm <= first[1])
        raise NotEnough(
            f"There is a fault ({fault.get_cause_display()}) {metres(roll.length_mm - fault.to_mm)} from the free end. "
            f"{metres(length_mm)} would run across it: cut the faulty cloth away first, or cut less."
        )


def require_promises_kept(
    roll: Roll, left_mm: int, *, besides: SetAside | None = None, more: Sequence[Promised] = ()
) -> None:
    """What is set aside on a locked roll (and `more`) must still come out, in order and clear of faults."""
    if roll.set_aside_mm == 0 and not more:
        return
    kept = [promise for promise in open_set_asides(roll) if besides is None or promise.pk != besides.pk]
    if places_of(roll, [*kept, *more], left_mm) is not None:
        return
    if not kept:
        lengths = ", ".join(metres(promise.length_mm) for promise in more)
        raise NotEnough(f"{roll} has no clean stretch long enough for {lengths}. Plan again.")
    names = ", ".join(sorted({promise.purpose for promise in kept}))
    raise NotEnough(
        f"The rest of {roll} is set aside for {names} ({metres(sum(p.length_mm for p in kept))}); "
        f"free is {metres(max(roll.free_mm, 0))}. Cut less, take another roll, or ask the owner to plan again."
    )


def promises_lost(roll: Roll) -> list[SetAside]:
    """The promises, last made first, that must be given back for the rest to come out of the roll as it now is."""
    kept, lost = open_set_asides(roll), []
    while kept and places_of(roll, kept) is None:
        lost.append(kept.pop())
    return lost
