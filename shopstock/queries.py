"""Reads that several screens share."""

from django.db.models import Q, QuerySet

from .models import Container, Fault, Reinforcement, Roll, SetAside
from .models.roll import STILL_OPEN


def faults_on(roll: Roll) -> QuerySet[Fault]:
    """Faults that still lie on the roll, nearest the free end first."""
    return roll.faults.filter(cleared_at__isnull=True, from_mm__lt=roll.length_mm)


def promises_on(roll: Roll) -> QuerySet[SetAside]:
    """What is set aside on the roll, in the order of cutting."""
    return roll.set_asides.filter(state=SetAside.State.OPEN).order_by("number", "pk")


def open_rolls() -> QuerySet[Roll]:
    """Everything on the racks, rolls and offcuts, whatever its condition."""
    return Roll.objects.filter(closed_on=STILL_OPEN).select_related("reinforcement", "place")


def usable_rolls(reinforcement: Reinforcement | None = None) -> QuerySet[Roll]:
    """What a plan may draw on: in the store and not quarantined."""
    rolls = open_rolls().filter(condition=Roll.Condition.USABLE)
    return rolls if reinforcement is None else rolls.filter(reinforcement=reinforcement)


def open_containers() -> QuerySet[Container]:
    return Container.objects.filter(closed_on=STILL_OPEN).select_related("chemical", "place")


def find_rolls(text: str) -> QuerySet[Roll]:
    """Rolls whose code, lot, reinforcement or place holds each of the words."""
    rolls = Roll.objects.select_related("reinforcement", "place")
    for word in text.split():
        rolls = rolls.filter(
            Q(code__icontains=word)
            | Q(lot__icontains=word)
            | Q(reinforcement__name__icontains=word)
            | Q(place__name__icontains=word)
        )
    return rolls
