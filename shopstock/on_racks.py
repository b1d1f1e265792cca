"""What of a fabric the racks give: usable cloth in date, by the books and for sure."""

import datetime
from dataclasses import dataclass

from django.db.models import Aggregate, F, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from .calc.stretches import Stretch, clear_behind, within
from .demand import LeastBlank
from .models import Reinforcement, Roll, Shop
from .prepreg import last_day, prepregs
from .queries import usable_rolls, with_details


@dataclass(frozen=True)
class OnRacks:
    """Usable cloth in mm, set-aside lengths included: for sure, by the books; and what is too small for any piece."""

    sure: int
    booked: int
    too_small: int


def on_racks(kind: Reinforcement, least: LeastBlank, shop: Shop, on: datetime.date) -> OnRacks:
    """What usable cloth in date gives: what is promised, and free clean pieces that a planned blank fits into."""
    promised = sure = booked = too_small = 0
    for roll in _rolls_in_date(kind, on):
        promised += sum(promise.length_mm for promise in roll.open_promises)
        is_wide = _usable_width_mm(roll, shop) >= least.across_mm
        clear = _clear(roll)
        free = [high - low for low, high in within(clear, 0, roll.safe_length_mm)]
        fitting = [length for length in free if is_wide and length >= least.along_mm]
        sure += sum(fitting)
        too_small += sum(free) - sum(fitting)
        lengths = [high - low for low, high in clear]
        booked += sum(length for length in lengths if is_wide and length >= least.along_mm)
    return OnRacks(promised + sure, promised + booked, too_small)


def surely_free_mm(kind: Reinforcement, on: datetime.date) -> int:
    """What plans can draw on: clean length in date behind all promises, as far as it is there with 95 % certainty.

    To whole centimetres, rounded down.
    """
    clear = [within(_clear(roll), 0, roll.safe_length_mm) for roll in _rolls_in_date(kind, on)]
    return sum(high - low for stretches in clear for low, high in stretches) // 10 * 10


def in_date(rolls: QuerySet[Roll], on: datetime.date) -> QuerySet[Roll]:
    """Of them, those that may be cut on a day: not past the date on a label, nor prepreg out of its time."""
    return rolls.exclude(use_by__lt=on).exclude(pk__in=_out_of_date(rolls, on))


def _out_of_date(rolls: QuerySet[Roll], on: datetime.date) -> list[int]:
    """Where it takes more than a look at the label: prepreg, and what was cut from a roll that has a date."""
    at = datetime.datetime.combine(on, datetime.time.max, timezone.get_current_timezone())
    of_dated = Q(parent__use_by__isnull=False) | Q(parent__parent__isnull=False)
    doubtful = Q(reinforcement__in=prepregs()) | Q(parent__isnull=False, use_by__isnull=True) & of_dated
    found = rolls.filter(doubtful).select_related("reinforcement", "parent__parent")
    return [roll.pk for roll in found if last_day(roll, at) < on]


def free_length(rolls: QuerySet[Roll]) -> Coalesce:
    """For each reinforcement, what is free on these rolls by the books, in mm."""
    return of_each(rolls, Sum(F("length_mm") - F("set_aside_mm") - F("faulty_mm")))


def of_each(rolls: QuerySet[Roll], figure: Aggregate) -> Coalesce:
    """For each reinforcement, a figure of those of these rolls that are of it; 0 where there are none."""
    found = rolls.filter(reinforcement=OuterRef("pk")).order_by().values("reinforcement").annotate(figure=figure)
    return Coalesce(Subquery(found.values("figure")), 0)


def _rolls_in_date(kind: Reinforcement, on: datetime.date) -> list[Roll]:
    return list(with_details(in_date(usable_rolls(kind).filter(length_mm__gt=0), on)))


def _clear(roll: Roll) -> tuple[Stretch, ...]:
    return clear_behind(roll.open_promises, roll.length_mm, roll.open_faults)


def _usable_width_mm(roll: Roll, shop: Shop) -> int:
    return roll.width_mm - (2 * shop.edge_trim_mm if roll.kind == Roll.Kind.ROLL else 0)
