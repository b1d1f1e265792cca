"""What a laminator must know of a roll's storage before the knife: its rest, its time out, place and climate."""

import datetime
from dataclasses import dataclass

from django.utils import timezone

from .calc.climate import outside
from .calc.neighbours import PREPREG
from .calc.out_time import OutTime
from .climate_reads import band_of, last_reading, rest_of
from .ledger.freezer import use_by_of
from .ledger.standing import breaches_at
from .models import Roll
from .prepreg import end_of, out_time_of


@dataclass(frozen=True)
class StorageNotes:
    """Warnings in words, the urgent ones first; for prepreg how its time out stands and the day it ends."""

    urgent: tuple[str, ...]
    warnings: tuple[str, ...]
    out: OutTime | None = None
    ends_on: datetime.date | None = None
    ends_why: str = ""


def storage_notes(roll: Roll, at: datetime.datetime) -> StorageNotes:
    urgent, warnings = [], []
    out = end = None
    if roll.reinforcement.is_prepreg:
        out, end = out_time_of(roll, at), end_of(roll, at)
        if end is not None and end.on < timezone.localdate(at):
            urgent.append(f"It ended on {end.on}: {end.reason}. Do not use it.")
    elif (use_by := use_by_of(roll)) is not None and use_by < timezone.localdate(at):
        urgent.append(f"It ended on {use_by}: date on the label. Do not use it.")
    rest = rest_of(roll, at)
    if rest is not None and rest.rested is False:
        warnings.append(f"This glass has not rested: {rest.why}.")
    elif rest is not None and rest.rested is None:
        warnings.append(f"Whether this glass has rested is not known: {rest.why}.")
    if roll.place is not None:
        for breach in breaches_at(roll, roll.place):
            if breach.rule is None or breach.rule.subject != PREPREG:
                warnings.append(f"{breach.words}.")
        reading = last_reading(roll.place, at)
        wrong = outside(reading, band_of(roll.reinforcement, roll.place)) if reading else []
        warnings += [f"Its place: {words}." for words in wrong]
    return StorageNotes(tuple(urgent), tuple(warnings), out, end.on if end else None, end.reason if end else "")
