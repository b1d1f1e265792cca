"""What is used beside planned work, repairs above all: read from the ledger, and forecast where there is a history."""

import datetime
import hashlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.core.cache import cache
from django.db.models import Case, Min, OuterRef, QuerySet, Subquery, Sum, Value, When
from django.utils import timezone

from . import uses
from .calc.intermittent import LEAST_USES, ForecastError, pattern_of, teunter_syntetos_babai
from .calc.outlook import weekly
from .models import Chemical, ContainerMovement, Movement, Reinforcement, Roll, Shop

LEAST_WEEKS = 8  # less is no history
A_DAY_SECONDS = 24 * 3600


@dataclass(frozen=True)
class Unplanned:
    """Use beside planned work, in mm or g. `a_week` is None where the ledger holds too little to say."""

    a_week: float | None
    words: str

    @property
    def a_day(self) -> float:
        return 0.0 if self.a_week is None else self.a_week / 7


def unplanned_use(material: Reinforcement | Chemical, on: datetime.date) -> Unplanned:
    """What left the shelf for no plan and no pot, week by week, less cuts taken back; jobs in hand are not in it."""
    shop = Shop.current()
    if isinstance(material, Reinforcement):
        return forecast(weekly_cuts([material.pk], on, shop)[material.pk], shop, "unplanned cuts")
    return forecast(weekly_draws(material, on, shop), shop, "draws outside any pot")


def unplanned_cloth(on: datetime.date) -> dict[int, Unplanned]:
    """By reinforcement, where there is a forecast; as the ledger stood last night, and kept for the day."""
    shop = Shop.current()
    before = Movement.objects.filter(recorded_at__lt=_start(on, 0))
    last = before.order_by("-recorded_at", "-pk").values_list("key", flat=True).first()
    if last is None:
        return {}
    settings = (shop.forecast_weeks, shop.forecast_smoothing_percent)
    name = "unplanned-cloth-" + hashlib.sha256(repr((on, last, settings)).encode()).hexdigest()
    known = cache.get(name)
    if known is None:
        kinds = list(Reinforcement.objects.filter(active=True).values_list("pk", flat=True))
        known = {pk: forecast(weeks, shop, "unplanned cuts") for pk, weeks in weekly_cuts(kinds, on, shop).items()}
        known = {pk: found for pk, found in known.items() if found.a_week}
        cache.set(name, known, A_DAY_SECONDS)
    return known


def _unplanned_cuts() -> QuerySet[Movement]:
    return Movement.objects.filter(kind=Movement.Kind.CUT, set_aside__isnull=True, corrected_by__isnull=True)


def forecast(weeks: Sequence[int], shop: Shop, what: str) -> Unplanned:
    """The use of the coming weeks from the use of those gone by; none from a history too short to say."""
    used = sum(1 for week in weeks if week)
    behind = f"{used} week{'' if used == 1 else 's'} with {what} in {len(weeks)}"
    if len(weeks) < LEAST_WEEKS or used < LEAST_USES:
        return Unplanned(None, f"No forecast of repairs: {behind} is too little to say.")
    share = shop.forecast_smoothing_percent / 100
    try:
        found, pattern = teunter_syntetos_babai(weeks, share, share), pattern_of(weeks)
    except ForecastError as error:
        return Unplanned(None, str(error))
    return Unplanned(found.per_period, f"{found.method} forecast from {behind} ({pattern.word} use)")


def weekly_cuts(kinds: Collection[int], on: datetime.date, shop: Shop) -> dict[int, list[int]]:
    """For each reinforcement in mm, whole weeks up to yesterday, from its first line on, as far back as is looked.

    The database adds them up: a large shop has hundreds of thousands of cuts in a year.
    """
    first = Movement.objects.filter(roll=OuterRef("pk")).order_by("recorded_at", "pk").values("happened_at")[:1]
    rolls = Roll.objects.filter(reinforcement__in=kinds).order_by().annotate(begun=Subquery(first))
    begun = dict(rolls.values_list("reinforcement").annotate(Min("begun")))
    back = shop.forecast_weeks
    ends = [_start(on, back - number - 1) for number in range(back)]  # of each week, the oldest first
    week = Case(*(When(happened_at__lt=end, then=Value(number)) for number, end in enumerate(ends)))
    cuts = _unplanned_cuts().filter(roll__reinforcement__in=kinds, happened_at__gte=_start(on, back))
    cuts = cuts.filter(happened_at__lt=_start(on, 0)).order_by().annotate(week=week)
    taken = {kind: [0] * back for kind in kinds}
    for kind, number, delta_mm in cuts.values_list("roll__reinforcement", "week").annotate(Sum("delta_mm")):
        taken[kind][number] = -delta_mm
    return {kind: taken[kind][back - _weeks_known(begun.get(kind), on, shop) :] for kind in kinds}


def weekly_draws(product: Chemical, on: datetime.date, shop: Shop) -> list[int]:
    """The same for a product in g; what was drawn for a pot belongs to its job."""
    lines = ContainerMovement.objects.filter(container__chemical=product).order_by()
    begun = lines.aggregate(first=Min("happened_at"))["first"]
    draws = lines.filter(kind=ContainerMovement.Kind.DRAW, happened_at__gte=_start(on, shop.forecast_weeks))
    rows = list(draws.values_list("pk", "happened_at", "delta_g"))
    for_jobs = uses.uses_of_draws([pk for pk, _, _ in rows])
    taken = [(timezone.localdate(at), -delta_g) for pk, at, delta_g in rows if pk not in for_jobs]
    first_day = on - datetime.timedelta(days=7 * _weeks_known(begun, on, shop))
    return weekly(taken, first=first_day, last=on - datetime.timedelta(days=1))


def _start(on: datetime.date, weeks: int) -> datetime.datetime:
    return timezone.make_aware(datetime.datetime.combine(on - datetime.timedelta(days=7 * weeks), datetime.time()))


def _weeks_known(begun: datetime.datetime | None, on: datetime.date, shop: Shop) -> int:
    return 0 if begun is None else max(0, min(shop.forecast_weeks, (on - timezone.localdate(begun)).days // 7))
