"""What warnings say of rolls and containers: their names, since when they stand there, what of them is at risk."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable
from decimal import Decimal

from django.db.models import Max
from django.utils import timezone

from .calc.costing import to_cents
from .calc.units import format_length, format_mass
from .models import Container, ContainerMovement, Movement, Roll, SetAside, Shop

CAME_HERE = (Movement.Kind.RECEIPT, Movement.Kind.OFFCUT, Movement.Kind.SPLIT, Movement.Kind.MOVE)


def roll_name(roll: Roll, shop: Shop) -> str:
    place = f", {roll.place}" if roll.place else ""
    length = format_length(roll.length_mm, shop.units)
    return f"{roll.get_kind_display().capitalize()} {roll.code}, {roll.reinforcement}, {length}{place}"


def container_name(container: Container, shop: Shop) -> str:
    place = f", {container.place}" if container.place else ""
    return f"{container.chemical} {container.code}, {format_mass(container.mass_g, shop.units)}{place}"


def day_of(moment: datetime.datetime) -> datetime.date:
    return timezone.localdate(moment)


def jobs_on(rolls: Iterable[Roll]) -> dict[int, tuple[str, ...]]:
    """What is set aside on each roll, by the roll's number; asks the database only when something is."""
    promised = [roll.pk for roll in rolls if roll.set_aside_mm]
    found: dict[int, list[str]] = defaultdict(list)
    if promised:
        rows = SetAside.objects.filter(roll__in=promised, state=SetAside.State.OPEN).order_by("number", "pk")
        for pk, purpose in rows.values_list("roll_id", "purpose"):
            found[pk].append(purpose)
    return {pk: tuple(dict.fromkeys(purposes)) for pk, purposes in found.items()}


def roll_at_risk(roll: Roll, jobs: Iterable[str] = ()) -> dict:
    """Length, money by the catalogue's price, and jobs, as a warning takes them."""
    price = roll.reinforcement.price_per_m2
    area_m2 = Decimal(roll.length_mm) * roll.width_mm / 1_000_000
    money = None if price is None else to_cents(price * area_m2)
    return {"length_mm": roll.length_mm, "money": money, "jobs": tuple(jobs)}


def container_at_risk(container: Container, mass_g: int) -> dict:
    """Mass, and money by the pack's price."""
    product = container.chemical
    if not product.pack_g or product.price_per_pack is None:
        return {"mass_g": mass_g}
    return {"mass_g": mass_g, "money": to_cents(product.price_per_pack * mass_g / product.pack_g)}


def all_at_risk(items: Collection[Roll | Container]) -> dict:
    """Of several things together."""
    rolls = [item for item in items if isinstance(item, Roll)]
    jobs = jobs_on(rolls)
    risks = [roll_at_risk(roll, jobs.get(roll.pk, ())) for roll in rolls]
    risks += [container_at_risk(item, item.mass_g) for item in items if isinstance(item, Container)]
    money = [risk["money"] for risk in risks if risk.get("money") is not None]
    return {
        "length_mm": sum(risk.get("length_mm", 0) for risk in risks),
        "mass_g": sum(risk.get("mass_g", 0) for risk in risks),
        "money": sum(money, Decimal(0)) if money else None,
        "jobs": tuple(dict.fromkeys(job for risk in risks for job in risk.get("jobs", ()))),
    }


def there_since(codes: Collection[str]) -> dict[str, datetime.date]:
    """The day each roll or container came to where it is, by its code."""
    if not codes:
        return {}
    rolls = Movement.objects.filter(roll__code__in=codes, kind__in=CAME_HERE).order_by()
    kinds = (ContainerMovement.Kind.RECEIPT, ContainerMovement.Kind.MOVE)
    containers = ContainerMovement.objects.filter(container__code__in=codes, kind__in=kinds).order_by()
    rows = [
        *rolls.values_list("roll__code").annotate(Max("happened_at")),
        *containers.values_list("container__code").annotate(Max("happened_at")),
    ]
    return {code: day_of(moment) for code, moment in rows}
