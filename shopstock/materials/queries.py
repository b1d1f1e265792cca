from django.db.models import Count, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from shopstock.models import Place, Reinforcement, Roll, SetAside, Supplier
from shopstock.models.roll import STILL_OPEN

ON_THE_RACKS = Q(rolls__closed_on=STILL_OPEN)
USABLE = ON_THE_RACKS & Q(rolls__condition=Roll.Condition.USABLE)


def reinforcements_with_stock() -> QuerySet[Reinforcement]:
    """Each with what lies on the racks and what of it is free for new work (quarantined rolls give nothing)."""
    free = F("rolls__length_mm") - F("rolls__set_aside_mm") - F("rolls__faulty_mm")
    return (
        Reinforcement.objects.select_related("supplier")
        .prefetch_related("layers")
        .annotate(
            on_racks_mm=Coalesce(Sum("rolls__length_mm", filter=ON_THE_RACKS), 0),
            free_on_racks_mm=Coalesce(Sum(free, filter=USABLE), 0),
            roll_count=Count("rolls", filter=ON_THE_RACKS),
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
