"""What is done with a whole roll, each a call of the ledger, and the words that say what was done."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock import ledger
from shopstock.models import Movement
from shopstock.roles import may
from shopstock.roll_entry import Done, given_back


def split(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    second = ledger.split_roll(
        roll=form.roll,
        length_mm=data["length"],
        tube_g=data["tube"],
        place=data["place"],
        by=by,
        at=at,
        key=data["key"],
    )
    return Done(second, f"{form.shown(data['length'])} of {form.roll.code} are roll {second.code} now. Label it.")


def join(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    line = ledger.join_rolls(roll=form.roll, other=data["other"], by=by, at=at, key=data["key"])
    return Done(
        form.roll, f"{form.shown(line.delta_mm)} of {data['other'].code} wound on, with a splice where they meet."
    )


def send_back(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    line = ledger.return_roll(roll=form.roll, reason=data["reason"], by=by, at=at, key=data["key"])
    return Done(form.roll, f"{form.shown(-line.delta_mm)} go back.{given_back(line.given_back)}")


def strip_layers(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    layers = f", {data['layers']} layers" if data["layers"] else ""
    line = ledger.record_loss(
        roll=form.roll,
        length_mm=data["length"],
        cause=Movement.Cause.OUTER_LAYERS,
        reason=f"{Movement.Cause.OUTER_LAYERS.label}: {dict(form.fields['why'].choices)[data['why']]}{layers}",
        by=by,
        at=at,
        key=data["key"],
    )
    return Done(form.roll, f"{form.shown(data['length'])} stripped, {form.shown(line.balance_after_mm)} left.")


def decide_fold(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    data = form.cleaned_data
    if data["decision"] == ledger.FoldDecision.RESTORED and not may(by, "release"):
        raise ledger.LedgerError("Only the owner may say that downgraded cloth is good for any part again.")
    decision = {name: data[name] for name in ("decision", "lying", "note", "key")}
    line = ledger.decide_fold(roll=form.roll, by=by, at=at, **decision)
    return Done(form.roll, f"Decided: {line.reason}.{given_back(line.given_back)}")


def bin_offcut(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    """All of it is lost as kept too long; the roll is locked and read anew by the ledger."""
    data = form.cleaned_data
    why = Movement.Cause.OLD.label + (f": {data['note']}" if data["note"] else "")
    sent = form.roll.movements.filter(key=data["key"]).first()
    length_mm = -sent.delta_mm if sent else form.roll.length_mm
    ledger.record_loss(
        roll=form.roll, length_mm=length_mm, cause=Movement.Cause.OLD, reason=why, by=by, at=at, key=data["key"]
    )
    return Done(form.roll, "Binned.")
