"""Recounts: what was measured on a roll, what the ledger makes of it, and how sure that is."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from math import sqrt

from django.contrib.auth.models import AbstractBaseUser

from shopstock.calc.roll_estimate import U_CUT_MM, from_tape
from shopstock.calc.uncertainty import Estimate, covariance_mm2
from shopstock.models import Measurement, Movement, Roll, SetAside

from .checks import metres, promises_lost
from .doubt import CUTTING
from .errors import LedgerError, StaleStock
from .faults import forget_cut_off
from .lines import write_line
from .locking import earlier, lock_roll, lock_rolls
from .once import one_transaction

TAKING = (*CUTTING, Movement.Kind.SPLIT, Movement.Kind.JOIN, Movement.Kind.RETURN)


@dataclass(frozen=True)
class Measured:
    """What was read on a roll: by which method, what the readings say by themselves, and what is taken over.

    `taken_over` may be the readings put together with the ledger; `readings` is plain data to keep with the line.
    """

    method: str
    alone: Estimate
    taken_over: Estimate
    readings: Mapping[str, object] = field(default_factory=dict)

    @classmethod
    def by_tape(cls, length_mm: int) -> "Measured":
        estimate = from_tape(length_mm)
        return cls(Measurement.Method.TAPE, estimate, estimate, {"tape": {"length_mm": length_mm}})

    def less(self, taken_mm: int, cuts: int) -> "Measured":
        """The same roll after more was taken from it, in as many cuts."""
        spread_mm = sqrt(cuts) * U_CUT_MM
        alone, taken_over = (estimate.less(taken_mm, spread_mm) for estimate in (self.alone, self.taken_over))
        return replace(self, alone=alone, taken_over=taken_over)

    def as_data(self) -> dict:
        """Plain data, to keep until a round is closed."""
        return {
            "method": self.method,
            "alone": asdict(self.alone),
            "taken_over": asdict(self.taken_over),
            "readings": dict(self.readings),
        }

    @classmethod
    def from_data(cls, data: Mapping) -> "Measured":
        return cls(data["method"], Estimate(**data["alone"]), Estimate(**data["taken_over"]), data["readings"])

    @classmethod
    def missing(cls) -> "Measured":
        return cls(Measurement.Method.MISSING, Estimate(0.0), Estimate(0.0))

    @classmethod
    def tube_empty(cls) -> "Measured":
        return cls(Measurement.Method.TUBE_EMPTY, Estimate(0.0), Estimate(0.0))


@one_transaction
def record_recount(
    *,
    roll: Roll,
    length_mm: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    reason: str,
    measured: Measured | None = None,
    seen_mm: int | None = None,
) -> Movement:
    """Set the ledger to a length measured on the roll. Promises that the roll cannot keep any more are given back.

    `seen_mm` is what was booked when the person began to measure: a roll that was cut since is not overwritten.
    """
    roll = lock_roll(roll)
    line = earlier(key, roll_id=roll.pk, kind=Movement.Kind.RECOUNT, balance_after_mm=length_mm)
    if line is not None:
        return line
    if seen_mm is not None:
        require_unchanged(roll, seen_mm)
    return write_recount(roll, length_mm, measured, by=by, at=at, key=key, reason=reason)


def require_unchanged(roll: Roll, seen_mm: int) -> None:
    """Refuse what was measured on a roll that had another length then."""
    if seen_mm == roll.length_mm:
        return
    last = roll.movements.exclude(delta_mm=0).select_related("by").first()
    raise StaleStock(
        f"{roll} has changed since you opened this page: {last.get_kind_display()} "
        f"{metres(abs(last.delta_mm))} by {last.by}, and {metres(roll.length_mm)} is booked now instead of "
        f"{metres(seen_mm)}. If you measured before that, measure again; if after it, send this once more."
    )


def write_recount(
    roll: Roll,
    length_mm: int,
    measured: Measured | None,
    *,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    reason: str,
) -> Movement:
    """Recount a locked roll; the promises given back stand on the line as `given_back`."""
    if length_mm < 0:
        raise LedgerError("A roll cannot have less than nothing on it. Enter the length you measured.")
    measured = measured or Measured.by_tape(length_mm)
    before, cuts = roll.estimate, roll.cuts_since_measured
    if length_mm > roll.length_mm:
        forget_cut_off(roll, by=by, at=at)
    lost = give_back_lost(roll, length_mm, at=at)
    roll.cuts_since_measured = 0
    roll.recount_reason, roll.recount_since = "", None
    line = write_line(
        roll,
        Movement.Kind.RECOUNT,
        length_mm - roll.length_mm,
        by=by,
        at=at,
        key=key,
        reason=reason[:300],
        doubt=measured.taken_over,
    )
    line.given_back = lost
    _keep_measurement(roll, line, measured, before, cuts, by=by, at=at)
    return line


def give_back_lost(roll: Roll, length_mm: int, *, at: datetime.datetime) -> list[SetAside]:
    """Close the promises that a roll shorter than thought cannot keep; the new length is written afterwards."""
    booked_mm, roll.length_mm = roll.length_mm, length_mm
    lost = promises_lost(roll)
    roll.length_mm = booked_mm
    for promise in lost:
        SetAside.objects.filter(pk=promise.pk).update(state=SetAside.State.GIVEN_BACK, closed_at=at)
        roll.set_aside_mm -= promise.length_mm
    return lost


def _keep_measurement(
    roll: Roll,
    line: Movement,
    measured: Measured,
    before: Estimate,
    cuts: int,
    *,
    by: AbstractBaseUser,
    at: datetime.datetime,
) -> Measurement:
    return Measurement.objects.create(
        roll=roll,
        movement=line,
        method=measured.method,
        readings=dict(measured.readings),
        length_mm=line.balance_after_mm,
        uncertainty_mm=measured.taken_over.uncertainty_mm,
        doubt_sources=dict(measured.taken_over.shared_mm),
        booked_mm=round(before.length_mm),
        booked_uncertainty_mm=before.uncertainty_mm,
        booked_doubt_sources=dict(before.shared_mm),
        cuts_before=cuts,
        drift_mm=before.length_mm - measured.alone.length_mm,
        drift_uncertainty_mm=_drift_uncertainty_mm(before, measured.alone, cuts),
        by=by,
        at=at,
    )


def _drift_uncertainty_mm(before: Estimate, alone: Estimate, cuts: int) -> float:
    """How well the drift is known but for the spread of the cuts themselves, which is what a habit is learned from."""
    without_cuts = max(0.0, before.uncertainty_mm**2 - cuts * U_CUT_MM**2)
    return sqrt(max(0.0, without_cuts + alone.uncertainty_mm**2 - 2 * covariance_mm2(before, alone)))


@dataclass(frozen=True)
class Correction:
    """One roll of a round: what was measured when it was counted."""

    roll: Roll
    measured: Measured
    counted_at: datetime.datetime
    reason: str
    key: str


@one_transaction
def record_corrections(
    *, corrections: Sequence[Correction], by: AbstractBaseUser, at: datetime.datetime
) -> list[Movement]:
    """Recount several rolls at once, all or none. What was cut after a roll was counted stays cut; what was measured
    after it stands.
    """
    rolls = lock_rolls(correction.roll.pk for correction in corrections)
    return [_correct(rolls[correction.roll.pk], correction, by=by, at=at) for correction in corrections]


def _correct(roll: Roll, correction: Correction, *, by: AbstractBaseUser, at: datetime.datetime) -> Movement:
    line = earlier(correction.key, roll_id=roll.pk, kind=Movement.Kind.RECOUNT)
    if line is not None:
        return line
    later = _measured_since(roll, correction.counted_at)
    if later is not None:
        return later
    taken_mm, cuts = _taken_since(roll, correction.counted_at)
    measured = correction.measured.less(taken_mm, cuts)
    length_mm = max(0, round(measured.taken_over.length_mm))
    line = write_recount(roll, length_mm, measured, by=by, at=at, key=correction.key, reason=correction.reason)
    Roll.objects.filter(pk=roll.pk).update(cuts_since_measured=cuts)
    return line


def _measured_since(roll: Roll, counted_at: datetime.datetime) -> Movement | None:
    """The line of a newer measurement that was not taken back."""
    newer = roll.measurements.filter(at__gt=counted_at, movement__isnull=False, movement__corrected_by__isnull=True)
    found = newer.select_related("movement").first()
    return found and found.movement


def _taken_since(roll: Roll, counted_at: datetime.datetime) -> tuple[int, int]:
    """Cloth that left a roll after it was counted, in mm, and in how many cuts.

    It is told by when it happened: a cut made before the count and entered after it was missing from the roll already
    when it was measured, and a line taken back changes the books, not the cloth.
    """
    lines = roll.movements.filter(kind__in=TAKING, happened_at__gt=counted_at, corrected_by__isnull=True)
    deltas = [(line.kind in CUTTING, line.delta_mm) for line in lines]
    return -sum(delta_mm for _, delta_mm in deltas), sum(is_cut for is_cut, _ in deltas)
