"""What is noted of a roll that keeps cold or ends on a day, and the words that say how its time stands."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock import ledger
from shopstock.models import Roll
from shopstock.prepreg import out_time_of
from shopstock.roll_entry import Done


def take_out(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    roll = form.roll
    ledger.take_out_of_freezer(roll=roll, by=by, at=at, **form.cleaned_data)
    left = out_time_of(roll, at).left_h
    thaw = f" Thaw it sealed for {roll.reinforcement.thaw_h} h." if roll.reinforcement.thaw_h else ""
    return Done(roll, f"{roll.code} is out: its time runs, {left:.0f} h left.{thaw}")


def put_back(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    roll = form.roll
    ledger.put_back_in_freezer(roll=roll, by=by, at=at, **form.cleaned_data)
    found = out_time_of(Roll.objects.select_related("reinforcement", "parent").get(pk=roll.pk), at)
    return Done(roll, f"{roll.code} is frozen again: {found.used_h:.0f} h used, {found.left_h:.0f} h left.")


def note_use_by(form, *, by: AbstractBaseUser, at: datetime.datetime) -> Done:
    use_by = form.cleaned_data["use_by"]
    ledger.set_use_by(roll=form.roll, use_by=use_by)
    return Done(form.roll, f"{form.roll.code}: use by {use_by}.")
