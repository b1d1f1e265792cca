"""What is used beside planned work, repairs above all: read from the ledger, and forecast where there is a history."""

import datetime
from dataclasses import dataclass

from django.db.models import Min

from .calc.intermittent import LEAST_USES, ForecastError, pattern_of, teunter_syntetos_babai
from .calc.outlook import weekly
from .models import Movement, Reinforcement

WEEKS = 52  # as far back as a forecast looks
LEAST_WEEKS = 8  # less is no history


@dataclass(frozen=True)
class Unplanned:
    """Use beside planned work. `mm_a_week` is None where the ledger holds too little to say."""

    mm_a_week: float | None
    words: str

    @property
    def mm_a_day(self) -> float:
        return 0.0 if self.mm_a_week is None else self.mm_a_week / 7


def unplanned_use(kind: Reinforcement, on: datetime.date) -> Unplanned:
    """Cuts that belonged to no plan, week by week, less those taken back; the jobs in hand are not in it."""
    weeks = weekly_use(kind, on)
    uses = sum(1 for week in weeks if week)
    if len(weeks) < LEAST_WEEKS or uses < LEAST_USES:
        return Unplanned(None, f"No forecast of repairs: {_behind(uses, len(weeks))} is too little to say.")
    try:
        found, pattern = teunter_syntetos_babai(weeks), pattern_of(weeks)
    except ForecastError as error:
        return Unplanned(None, str(error))
    words = f"{found.method} forecast from {_behind(uses, len(weeks))} ({pattern.word} use)"
    return Unplanned(found.per_period, words)


def _behind(uses: int, weeks: int) -> str:
    return f"{uses} week{'' if uses == 1 else 's'} with unplanned cuts in {weeks}"


def weekly_use(kind: Reinforcement, on: datetime.date) -> list[int]:
    """In mm, whole weeks up to yesterday, from the first line of this reinforcement on but at most a year."""
    lines = Movement.objects.filter(roll__reinforcement=kind)
    begun = lines.aggregate(first=Min("happened_at"))["first"]
    if begun is None:
        return []
    weeks = min(WEEKS, (on - begun.date()).days // 7)
    first = on - datetime.timedelta(days=7 * weeks)
    cuts = lines.filter(kind=Movement.Kind.CUT, set_aside__isnull=True, corrected_by__isnull=True)
    rows = cuts.filter(happened_at__date__gte=first).values_list("happened_at", "delta_mm")
    last = on - datetime.timedelta(days=1)
    return weekly([(at.date(), -delta_mm) for at, delta_mm in rows], first=first, last=last)
