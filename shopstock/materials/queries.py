import datetime

from django.db.models import Count, Q, QuerySet, Sum

from shopstock.models import Place, Reinforcement, SetAside, Supplier
from shopstock.models.roll import STILL_OPEN
from shopstock.on_racks import free_length, in_date, of_each
from shopstock.queries import open_rolls, usable_rolls

ON_THE_RACKS = Q(rolls__closed_on=STILL_OPEN)


def reinforcements_with_stock(on: datetime.date) -> QuerySet[Reinforcement]:
    """Each with what lies on the racks and what of it is free for new work and may be cut on a day."""
    there = open_rolls()
    return (
        Reinforcement.objects.select_related("supplier")
        .prefetch_related("layers")
        .annotate(
            on_racks_mm=of_each(there, Sum("length_mm")),
            free_on_racks_mm=free_length(in_date(usable_rolls(), on)),
            roll_count=of_each(there, Count("pk")),
        )
    )


def promised_lengths(reinforcement: Reinforcement) -> list[dict]:
    """What is set aside of a reinforcement, totalled by what it is for."""
    return list(
        SetAside.objects.filter(roll__reinforcement=reinforcement, state=SetAside.State.OPEN)
        .values("purpose")
        .annotate(length_mm=Sum("length_mm"))
        .order_by("purpose")
    )


def suppliers_with_counts() -> QuerySet[Supplier]:
    return Supplier.objects.annotate(fabrics=Count("reinforcements", filter=Q(reinforcements__active=True)))


def places_with_counts() -> QuerySet[Place]:
    return Place.objects.annotate(
        rolls_there=Count("rolls", filter=ON_THE_RACKS, distinct=True),
        containers_there=Count("containers", filter=Q(containers__closed_on=STILL_OPEN), distinct=True),
    )
