"""What an uncut roll weighs and measures, kept as the figures it came with: later lengths are told by ratio to them."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock.models import Measurement, Movement, Roll

from .errors import LedgerError
from .locking import lock_roll
from .once import one_transaction

CHANGING = (Movement.Kind.CUT, Movement.Kind.LOSS, Movement.Kind.SPLIT, Movement.Kind.JOIN, Movement.Kind.RECOUNT)


def is_as_it_came(roll: Roll) -> bool:
    """Nothing was cut, wound or counted yet, so that its label still says how long it is."""
    return not roll.movements.filter(kind__in=CHANGING).exists()


@one_transaction
def keep_first_size(
    *,
    roll: Roll,
    by: AbstractBaseUser,
    at: datetime.datetime,
    gross_g: int | None = None,
    tube_g: int | None = None,
    outer_mm: int | None = None,
    core_mm: int | None = None,
) -> Measurement | None:
    """Keep what was read on an uncut roll; a figure not given stays as it was. None when nothing is new."""
    roll = lock_roll(roll)
    if not is_as_it_came(roll):
        raise LedgerError(f"{roll} was cut or counted since it came: these are not the figures it came with.")
    read = {"gross_g": gross_g, "tube_g": tube_g, "outer_mm": outer_mm, "core_mm": core_mm}
    new = {name: value for name, value in read.items() if value is not None and value != getattr(roll, name)}
    if not new:
        return None
    for name, value in new.items():
        setattr(roll, name, value)
    if roll.gross_g is not None and roll.tube_g is not None and roll.gross_g <= roll.tube_g:
        raise LedgerError("The roll weighs no more than its tube. Weigh both again.")
    roll.save(update_fields=list(new))
    estimate = roll.estimate
    return Measurement.objects.create(
        roll=roll,
        method=Measurement.Method.WEIGHT if gross_g is not None else Measurement.Method.DIAMETER,
        readings={"read": {name: value for name, value in read.items() if value is not None}, "as it came": True},
        length_mm=roll.length_mm,
        uncertainty_mm=estimate.uncertainty_mm,
        doubt_sources=dict(estimate.shared_mm),
        booked_mm=roll.length_mm,
        booked_uncertainty_mm=estimate.uncertainty_mm,
        booked_doubt_sources=dict(estimate.shared_mm),
        by=by,
        at=at,
    )
