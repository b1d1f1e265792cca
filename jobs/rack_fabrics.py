"""The fabrics of the catalogue as candidates: how each would be laid, whether it suits, what of it is free."""

import datetime
from collections.abc import Iterable

from django.utils import timezone

from shopstock.calc.forms import CORE, VEIL
from shopstock.models import Reinforcement, Shop

from .free_cloth import FreeCloth, free_cloth
from .laid_plies import angles_of, lies_at_45
from .models import Ply

CARRIES_NOTHING = (VEIL, CORE)


def candidates() -> list[Reinforcement]:
    """Every fabric in use that carries load, with its layers."""
    fabrics = Reinforcement.objects.filter(active=True).exclude(form__in=CARRIES_NOTHING)
    return list(fabrics.prefetch_related("layers").select_related("supplier"))


def natural_direction(fabric: Reinforcement) -> str:
    """How a fabric comes straight off the roll: any way for mat, ±45 where its own fibres lie so, else along."""
    if not angles_of(fabric):
        return Ply.Direction.ANY
    return Ply.Direction.BIAS if angles_of(fabric) == {45, -45} else Ply.Direction.ALONG


def directions_to_try(fabric: Reinforcement) -> list[str]:
    """Straight first, then turned a quarter where that differs, then on the bias; strands one way are never cut so."""
    angles = angles_of(fabric)
    if not angles:
        return [Ply.Direction.ANY]
    if angles == {45, -45}:
        return [Ply.Direction.BIAS, Ply.Direction.ALONG]
    balanced = fabric.turning != Reinforcement.Turning.NEVER
    if balanced:
        return [Ply.Direction.ALONG] if lies_at_45(fabric) else [Ply.Direction.ALONG, Ply.Direction.BIAS]
    return [Ply.Direction.ALONG, Ply.Direction.ACROSS]


def is_bias_cut(fabric: Reinforcement, direction: str) -> bool:
    """Whether blanks come at 45° across the roll, with the waste that goes with it."""
    slanted = direction in (Ply.Direction.BIAS, Ply.Direction.PLUS, Ply.Direction.MINUS)
    if slanted:
        return bool(angles_of(fabric)) and not lies_at_45(fabric)
    return direction != Ply.Direction.ANY and angles_of(fabric) == {45, -45}


def free_lengths_mm(fabrics: Iterable[Reinforcement], shop: Shop, at: datetime.datetime) -> dict[int, int]:
    """What is free today and surely there on usable rolls and offcuts, clear of faults, by fabric."""
    cloth = free_cloth([fabric.pk for fabric in fabrics], shop, at=at, cut_on=timezone.localdate(at))
    return {pk: total_mm(items) for pk, items in cloth.items()}


def total_mm(cloth: Iterable[FreeCloth]) -> int:
    """To whole centimetres, rounded down."""
    return sum(item.clean_mm for item in cloth) // 10 * 10


def resin_fit(fabric: Reinforcement, resin: str) -> str:
    return getattr(fabric, f"fits_{resin}")


def lightest_first(fabrics: Iterable[Reinforcement]) -> list[Reinforcement]:
    return sorted(fabrics, key=lambda fabric: (fabric.areal_weight_gsm, fabric.name))
