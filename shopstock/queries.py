"""Reads that several screens share."""

from django.db.models import Prefetch, Q, QuerySet

from .calc.offcut_rule import KeepingRule
from .models import Container, CutHabit, Fault, Reinforcement, Roll, SetAside, Shop
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


def usable_rolls(reinforcement: Reinforcement | None = None, *, non_structural: bool = False) -> QuerySet[Roll]:
    """What a plan may draw on: in the store, not quarantined, and good enough for any part.

    What lies folded waits until it is decided what it is good for. `non_structural` adds the cloth that was downgraded
    and may go only into parts that carry no load.
    """
    undecided = Q(lying=Roll.Lying.FOLDED, grade=Roll.Grade.STRUCTURAL)
    rolls = open_rolls().filter(condition=Roll.Condition.USABLE).exclude(undecided)
    if not non_structural:
        rolls = rolls.filter(grade=Roll.Grade.STRUCTURAL)
    return rolls if reinforcement is None else rolls.filter(reinforcement=reinforcement)


def with_details(rolls: QuerySet[Roll]) -> QuerySet[Roll]:
    """Loaded with the faults that lie on them and what is set aside on them, for all rolls at once."""
    faults = Fault.objects.filter(cleared_at__isnull=True)
    promises = SetAside.objects.filter(state=SetAside.State.OPEN).order_by("number", "pk")
    return rolls.prefetch_related(
        Prefetch("faults", faults, to_attr="open_faults"), Prefetch("set_asides", promises, to_attr="open_promises")
    )


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


def keeping_rule(reinforcement: Reinforcement, shop: Shop) -> KeepingRule:
    """Which offcuts of it are kept: its own figures, and the shop's for what it leaves open."""

    def own_or(own: int | None, usual: int) -> int:
        return usual if own is None else own

    return KeepingRule(
        own_or(reinforcement.offcut_length_mm, shop.offcut_length_mm),
        own_or(reinforcement.offcut_side_mm, shop.offcut_width_mm),
        own_or(reinforcement.offcut_area_cm2, shop.offcut_area_cm2),
        own_or(reinforcement.offcut_keep_days, shop.offcut_keep_days),
    )


def cutting_over_mm(reinforcement: Reinforcement, shop: Shop) -> int:
    """What the shop's own habit of cutting adds to the length of every cut, beyond the allowance it has anyway."""
    habit = CutHabit.objects.filter(form=reinforcement.form).values_list("allowance_mm", flat=True).first()
    return max(0, (habit or 0) - shop.cutting_allowance_mm)
