"""Setting the ledger right by what was measured, and the owner's word on the shop's habit of cutting."""

import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from shopstock import ledger
from shopstock.calc.units import format_length
from shopstock.models import CutHabit, Movement, Roll
from shopstock.readings import learned_habit
from shopstock.roll_entry import given_back


class DoNotAgree(ledger.LedgerError):
    """Estimates that contradict each other are not averaged."""


def was_set(roll: Roll, key: str | None) -> bool:
    """A second tap: what was measured is fused with the ledger once, not with its own result."""
    if not key or not key.isprintable():  # PostgreSQL cannot even look for text with a null in it
        return False
    return roll.movements.filter(key=key, kind=Movement.Kind.RECOUNT).exists()


def recount(form, *, by: AbstractBaseUser, at: datetime.datetime) -> str:
    data, outcome = form.cleaned_data, form.outcome
    ledger.require_unchanged(form.roll, data["seen_mm"])
    if not outcome.agree:
        raise DoNotAgree("Lay the roll on the table and tape it: what was measured and what is booked do not agree.")
    line = ledger.record_recount(
        roll=form.roll,
        length_mm=outcome.length_mm,
        measured=outcome.measured(),
        seen_mm=data["seen_mm"],
        reason=form.words(),
        by=by,
        at=at,
        key=data["key"],
    )
    length = format_length(outcome.length_mm, form.units)
    return f"{length} on the roll: {_change(line, form.units)}.{given_back(line.given_back)}"


def keep_as_it_came(form, *, by: AbstractBaseUser, at: datetime.datetime) -> str:
    read = form.readings()
    ledger.keep_first_size(
        roll=form.roll,
        gross_g=read.gross_g,
        tube_g=read.tube_g,
        outer_mm=None if read.outer_mm is None else round(read.outer_mm),
        core_mm=None if read.core_mm is None else round(read.core_mm),
        by=by,
        at=at,
    )
    return "Kept as what it came with. From now on its length is told by ratio to that."


def tube_empty(*, roll: Roll, units: str, note: str, key: str, by: AbstractBaseUser, at: datetime.datetime) -> str:
    reason = "tube empty" + (f": {note}" if note else "")
    empty = ledger.Measured.tube_empty()
    line = ledger.record_recount(roll=roll, length_mm=0, measured=empty, reason=reason, by=by, at=at, key=key)
    return f"Nothing on the roll: {_change(line, units)}. Its label can go.{given_back(line.given_back)}"


def _change(line: Movement, units: str) -> str:
    if line.delta_mm == 0:
        return "as booked"
    return f"{format_length(abs(line.delta_mm), units)} {'less' if line.delta_mm < 0 else 'more'} than booked"


class HabitChanged(Exception):
    """The learned figure is not the one the owner saw."""


@transaction.atomic
def switch_habit_on(*, form: str, allowance_mm: int, by: AbstractBaseUser, at: datetime.datetime) -> CutHabit:
    """Take the learned figure over as the allowance of plans, on top of one that is in force already."""
    earlier = CutHabit.objects.filter(form=form).first()
    habit = learned_habit(form, since=earlier and earlier.at)
    if habit is None or not habit.is_known:
        raise HabitChanged("The recounts do not show a habit clearly enough. Measure more rolls first.")
    wanted = habit.allowance_mm + (earlier.allowance_mm if earlier else 0)
    if wanted != allowance_mm:
        raise HabitChanged(f"Rolls were measured since you opened the page: it is {wanted} mm now. Look again.")
    figures = {"allowance_mm": wanted, "observations": habit.observations, "cuts": habit.cuts, "by": by, "at": at}
    return CutHabit.objects.update_or_create(form=form, defaults=figures)[0]


def switch_habit_off(*, form: str) -> None:
    CutHabit.objects.filter(form=form).delete()
