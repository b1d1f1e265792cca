import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser

from shopstock.models import Roll, SetAside

from .checks import require_positive, require_promises_kept, require_usable
from .locking import lock_rolls, lost_mm, open_set_asides
from .once import one_transaction


@dataclass(frozen=True)
class Promise:
    """A length wanted from a roll, and for what."""

    roll: Roll
    length_mm: int
    purpose: str
    offcuts: tuple[tuple[int, int], ...] = ()  # (width_mm, length_mm) of each piece worth keeping
    taken_across: tuple[tuple[int, int], ...] = ()  # mm from the left edge that its pieces take; none for all of it


@one_transaction
def set_aside(*, promises: Sequence[Promise], by: AbstractBaseUser, at: datetime.datetime) -> list[SetAside]:
    """Promise lengths of one or more rolls, all or none, in the order in which they will be cut."""
    rolls = lock_rolls(promise.roll.pk for promise in promises)
    made = []
    for promise in promises:
        roll = rolls[promise.roll.pk]
        require_positive(promise.length_mm)
        require_usable(roll)
        require_promises_kept(roll, roll.length_mm, more=(promise,))
        numbers = [earlier.number for earlier in open_set_asides(roll)]
        made.append(
            SetAside.objects.create(
                roll=roll,
                number=max(numbers, default=0) + 1,
                length_mm=promise.length_mm,
                purpose=promise.purpose,
                offcuts=[{"width_mm": width, "length_mm": length} for width, length in promise.offcuts],
                taken_across=[list(part) for part in promise.taken_across],
                by=by,
                at=at,
            )
        )
        _save_set_aside(roll, roll.set_aside_mm + promise.length_mm)
    return made


@one_transaction
def give_back(*, set_asides: Sequence[SetAside], at: datetime.datetime) -> int:
    """Give promised lengths back; what was already cut or given back is passed over. Returns how many were open."""
    rolls = lock_rolls(promise.roll_id for promise in set_asides)
    return sum(
        close_set_aside(rolls[promise.roll_id], promise, SetAside.State.GIVEN_BACK, at=at) for promise in set_asides
    )


def close_set_aside(roll: Roll, promise: SetAside, state: str, *, at: datetime.datetime) -> bool:
    """Close a promise on a locked roll; False when it was no longer open."""
    if not SetAside.objects.filter(pk=promise.pk, state=SetAside.State.OPEN).update(state=state, closed_at=at):
        return False
    _save_set_aside(roll, roll.set_aside_mm - promise.length_mm)
    return True


def _save_set_aside(roll: Roll, length_mm: int) -> None:
    """What lies beside a fault of part of the width is set aside, and lost no longer."""
    roll.set_aside_mm = length_mm
    roll.faulty_mm = lost_mm(roll)
    roll.save(update_fields=["set_aside_mm", "faulty_mm"])
