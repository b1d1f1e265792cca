"""What a filled form about one roll does to the ledger, and the words that say what was done."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Fault, Movement, Roll
from shopstock.roll_entry import Done, given_back


def report_fault(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    fault = FoundFault(
        data["start"], data["end"], data["cause"], data["note"], across_mm=form.across_mm(), photo=form.kept_photo()
    )
    _, lost = ledger.report_fault(roll=form.roll, fault=fault, by=by, at=at, key=data["key"])
    words = f"{Fault.Cause(data['cause']).label.capitalize()} noted, {_from_to(form)} from the free end."
    return Done(form.roll, words + given_back(lost))


def _from_to(form) -> str:
    return f"{form.shown(form.cleaned_data['start'])} to {form.shown(form.cleaned_data['end'])}"


def clear_fault(form, *, fault: Fault, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    ledger.clear_fault(fault=fault, by=by, at=at, key=data["key"], reason=data["reason"])
    return Done(form.roll, f"That stretch ({fault.get_cause_display()}) may be used again.")


def quarantine(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    ledger.quarantine(roll=form.roll, by=by, at=at, **_key_and_reason(form))
    return Done(form.roll, "Quarantined: no plan and no cut takes it. Put it apart.")


def release(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    ledger.release(roll=form.roll, by=by, at=at, **_key_and_reason(form))
    return Done(form.roll, "Released: it may be planned and cut again.")


def _key_and_reason(form) -> dict[str, str]:
    return {"key": form.cleaned_data["key"], "reason": form.cleaned_data["reason"]}


def move(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    wish = {name: data[name] for name in ("place", "lying", "key")}
    ledger.move_roll(roll=form.roll, note=data["note_of_place"], by=by, at=at, **wish)
    return Done(form.roll, f"Now at {data['place']}, {Roll.Lying(data['lying']).label}.")


def cut_away(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    line = ledger.record_loss(
        roll=form.roll,
        length_mm=data["length"],
        cause=data["cause"],
        by=by,
        at=at,
        key=data["key"],
        reason=form.words(),
    )
    left = form.shown(line.balance_after_mm)
    return Done(form.roll, f"{form.shown(data['length'])} cut away, {left} left.")


def keep_offcut(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    offcut = ledger.record_offcut(
        parent=form.roll,
        width_mm=data["width"],
        length_mm=data["length"],
        place=data["place"],
        by=by,
        at=at,
        key=data["key"],
    )
    return Done(offcut, f"Kept as {offcut.code}, from {form.roll.code}. Label it now, warp arrow along its length.")


def take_back(form, *, line: Movement, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    take_back = ledger.take_back_winding if line.kind in ledger.WINDING else ledger.correct
    made = take_back(movement=line, by=by, at=at, **_key_and_reason(form))
    return Done(form.roll, f"Taken back: {form.shown(made.balance_after_mm)} on the roll.")
