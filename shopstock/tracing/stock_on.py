"""What lay on the racks at the end of a day, by the balances that the ledger had then."""

import datetime

from django.db.models import Count, F, OuterRef, QuerySet, Subquery, Sum
from django.utils import timezone

from shopstock.models import Movement, Roll
from shopstock.models.roll import STILL_OPEN


def stock_on(day: datetime.date, *, today: datetime.date) -> QuerySet:
    """A row for each reinforcement: how many rolls and offcuts, and the length on them.

    From today on it is what the rolls hold, which no clock that was wrong for a while can falsify.
    """
    if day >= today:
        rolls = Roll.objects.filter(closed_on=STILL_OPEN).annotate(then_mm=F("length_mm"))
    else:
        end = timezone.make_aware(datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time()))
        before = Movement.objects.filter(roll=OuterRef("pk"), recorded_at__lt=end).order_by("-recorded_at", "-pk")
        rolls = Roll.objects.filter(received_on__lte=day, closed_on__gt=day)
        rolls = rolls.annotate(then_mm=Subquery(before.values("balance_after_mm")[:1])).filter(then_mm__gt=0)
    return (
        rolls.order_by()
        .values("reinforcement", "reinforcement__name")
        .annotate(rolls=Count("pk"), length_mm=Sum("then_mm"))
        .order_by("reinforcement__name")
    )
