"""Until when a roll may be cut: where prepreg stands with its time out of the freezer, and the date on any label."""

import datetime

from django.utils import timezone

from .calc.effective_end import OUT_TIME, End, effective_end
from .calc.out_time import OutTime, out_time
from .ledger.freezer import spells_of, use_by_of
from .models import Reinforcement, Roll

NO_END = datetime.date.max


def prepregs() -> list[int]:
    """Their numbers: to ask each of many rolls whether its cloth is prepreg costs the database more."""
    return list(Reinforcement.objects.filter(out_life_h__isnull=False).values_list("pk", flat=True))


def out_time_of(roll: Roll, at: datetime.datetime) -> OutTime:
    """Needs `reinforcement` loaded, which must be prepreg."""
    return out_time(spells_of(roll), roll.reinforcement.out_life_h, at)


def end_of(roll: Roll, at: datetime.datetime) -> End | None:
    """The last day of a prepreg roll and why; None where neither its label nor its time out says."""
    out_ends = out_time_of(roll, at).ends_on(timezone.localtime(at))
    use_by = use_by_of(roll)
    if use_by is None:
        return None if out_ends is None else End(out_ends, OUT_TIME, "its time out of the freezer is used up")
    return effective_end(label_date=use_by, out_time_ends_on=out_ends)


def last_day(roll: Roll, at: datetime.datetime) -> datetime.date:
    """By the date on its label or that of the roll it came from, and, for prepreg, by its time out of the freezer."""
    if roll.reinforcement.is_prepreg:
        end = end_of(roll, at)
        return NO_END if end is None else end.on
    return use_by_of(roll) or NO_END
