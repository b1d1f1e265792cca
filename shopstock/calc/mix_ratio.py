"""Resin and hardener: the mass ratio and the volume ratio, kept apart, and the slips between them."""

from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

Number: TypeAlias = int | float | Fraction

AGREE = 0.03  # data sheets round their ratios; farther apart, one of the figures is wrong


class RatioError(ValueError):
    """Ratios or densities that cannot all be right; the message says what was probably meant."""


@dataclass(frozen=True)
class Weighed:
    """Masses in g of one mix."""

    resin_g: Number
    hardener_g: Number


def split_mix(mix_g: Number, parts: Number) -> Weighed:
    """Masses of resin and hardener in a mix (g), ``parts`` of hardener by mass to 100 of resin.

    Raises RatioError. Source: proportion. Worked: 250 g at 100:30 → 192.31 + 57.69 g.
    """
    if parts <= 0 or mix_g < 0:
        raise RatioError("Parts of hardener to 100 parts of resin must be above zero.")
    hardener_g = mix_g * parts / (100 + parts)
    return Weighed(mix_g - hardener_g, hardener_g)


def volume_parts(mass_parts: Number, resin_kg_l: Number, hardener_kg_l: Number) -> Number:
    """Parts by volume that parts by mass come to, both to 100 of resin; densities in kg/L.

    Raises RatioError. Source: V = m/ρ. Worked: 100:30 by mass with 1.15 and 0.95 → 100:36.316 by volume.
    """
    _require(mass_parts, resin_kg_l, hardener_kg_l)
    return mass_parts * resin_kg_l / hardener_kg_l


def mass_parts(parts_by_volume: Number, resin_kg_l: Number, hardener_kg_l: Number) -> Number:
    """Parts by mass that parts by volume come to, both to 100 of resin; densities in kg/L. Raises RatioError.

    Worked: 100:30 by volume with 1.15 and 0.95 → 100:24.78 by mass.
    """
    _require(parts_by_volume, resin_kg_l, hardener_kg_l)
    return parts_by_volume * hardener_kg_l / resin_kg_l


def density_ratio(parts_by_mass: Number, parts_by_volume: Number) -> Number:
    """Density of resin over density of hardener that a pair of published ratios implies. Raises RatioError.

    Worked: 3:1 by volume and 3.5:1 by mass → 1.1667.
    """
    _require(parts_by_mass, parts_by_volume, 1)
    return parts_by_volume / parts_by_mass


def hardener_error_percent(weighed_parts: Number, right_parts: Number) -> Number:
    """By how many per cent the hardener is out when a mix is weighed in other parts than the right ones by mass.

    Worked: 3:1 weighed where 3.5:1 is right → 16.7 % too much.
    """
    _require(weighed_parts, right_parts, 1)
    return (weighed_parts / right_parts - 1) * 100


def check_ratios(
    parts_by_mass: Number | None, parts_by_volume: Number | None, resin_kg_l: Number, hardener_kg_l: Number
) -> None:
    """Raise RatioError when two ratios cannot both be right with the densities (kg/L), with what was probably meant.

    Worked: 100:36.3 by mass and 100:30 by volume with 1.15 and 0.95 are each other's conversion: swapped.
    """
    if parts_by_mass is None or parts_by_volume is None:
        return
    right = volume_parts(parts_by_mass, resin_kg_l, hardener_kg_l)
    if _alike(parts_by_volume, right):
        return
    shown = f"100:{float(parts_by_mass):g} by mass is 100:{float(right):.1f} by volume at these densities"
    if _alike(parts_by_mass, volume_parts(parts_by_volume, resin_kg_l, hardener_kg_l)):
        raise RatioError(f"The two ratios look swapped: {shown}. Is the one by volume in the field by mass?")
    if _alike(parts_by_mass, parts_by_volume):
        raise RatioError(
            f"The same figure stands by mass and by volume, but {shown}. Type each from the data sheet, or leave one "
            "empty."
        )
    raise RatioError(
        f"The two ratios do not go together: {shown}, not 100:{float(parts_by_volume):g}. Check both and the densities."
    )


def _alike(one: Number, other: Number) -> bool:
    return abs(float(one) - float(other)) <= AGREE * float(other)


def _require(*above_zero: Number) -> None:
    if min(above_zero) <= 0:
        raise RatioError("Parts and densities must be above zero.")
