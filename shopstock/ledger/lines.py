"""The one place that inserts into the two append-only tables."""

import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.calc.uncertainty import Estimate
from shopstock.models import Container, ContainerMovement, Movement, Roll, SetAside
from shopstock.models.roll import STILL_OPEN

from .chain import chain_on
from .doubt import CUTTING, doubt_after, take_over
from .locking import lost_mm


def write_line(
    roll: Roll,
    kind: str,
    delta_mm: int,
    *,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    happened_at: datetime.datetime | None = None,
    reason: str = "",
    set_aside: SetAside | None = None,
    corrects: Movement | None = None,
    cause: str = "",
    pair: Movement | None = None,
    doubt: Estimate | None = None,
) -> Movement:
    """Change the roll's length and say so in the ledger; the roll must be locked and the change already checked.

    `doubt` is how sure the new length is, where that does not follow from the kind of line alone.
    """
    had_no_fault = roll.faulty_mm == roll.set_aside_mm == 0  # what is set aside may lie beside one
    take_over(roll, doubt or doubt_after(roll, kind, delta_mm))
    roll.cuts_since_measured += kind in CUTTING
    roll.length_mm += delta_mm
    line = Movement(
        roll=roll,
        kind=kind,
        delta_mm=delta_mm,
        balance_after_mm=roll.length_mm,
        happened_at=happened_at or at,
        recorded_at=at,
        by=by,
        key=key,
        reason=reason,
        set_aside=set_aside,
        corrects=corrects,
        cause=cause,
        pair=pair,
    )
    chain_on(roll, line)
    refresh_roll(roll, on=timezone.localdate(at), look_for_faults=not (had_no_fault and delta_mm < 0))
    line.save(force_insert=True)
    return line


def refresh_roll(roll: Roll, *, on: datetime.date, look_for_faults: bool = True) -> None:
    """Store what follows from the length: the stretch still under faults, and whether the roll is used up.

    A clean roll that only got shorter is still clean, so nobody need look.
    """
    if look_for_faults:
        roll.faulty_mm = lost_mm(roll)
    roll.closed_on = on if roll.length_mm == 0 else STILL_OPEN
    roll.save(
        update_fields=[
            "length_mm",
            "set_aside_mm",
            "faulty_mm",
            "closed_on",
            "condition",
            "condition_reason",
            "condition_since",
            "place",
            "lying",
            "grade",
            "uncertainty_mm",
            "doubt_sources",
            "cuts_since_measured",
            "recount_reason",
            "recount_since",
            "line_count",
            "last_link",
        ]
    )


def write_mass_line(
    container: Container,
    kind: str,
    delta_g: int,
    *,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    reason: str = "",
) -> ContainerMovement:
    """Change the container's mass and say so in the ledger; the container must be locked and the change checked."""
    container.mass_g += delta_g
    container.closed_on = timezone.localdate(at) if container.mass_g == 0 else STILL_OPEN
    line = ContainerMovement(
        container=container,
        kind=kind,
        delta_g=delta_g,
        balance_after_g=container.mass_g,
        happened_at=at,
        recorded_at=at,
        by=by,
        key=key,
        reason=reason,
    )
    chain_on(container, line)
    container.save(update_fields=["mass_g", "closed_on", "opened_on", "place", "line_count", "last_link"])
    line.save(force_insert=True)
    return line
