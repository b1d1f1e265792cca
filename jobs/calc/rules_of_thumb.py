"""Published rules of thumb for estimating a job by hand.

They hold waste and rounding of their own; use them as a second opinion beside the calculation by fibre fraction,
never instead of the product's data sheet.
"""

from decimal import Decimal
from fractions import Fraction
from math import ceil

from shopstock.calc.quantity import UNITS, as_decimal

# One US gallon, one thousandth of an inch deep, in square feet: exactly 231·1000/144.
SQUARE_FEET_PER_GALLON_THOU = Fraction(231 * 1000, 144)


class RuleOfThumbError(ValueError):
    """A cover rate or thickness that must be above zero."""


def _above_zero(value: Decimal, name: str) -> Fraction:
    if value <= 0:
        raise RuleOfThumbError(f"The {name} must be above zero, not {value}.")
    return Fraction(value)


def cover_ft2_per_gal(film_thou: Decimal) -> Decimal:
    """Area in ft² that one US gallon covers at a wet film of ``film_thou`` thousandths of an inch, nothing lost.

    Raises RuleOfThumbError. Source: exact US gallon (NIST SP 811, 2008 edition). Worked: 15 → 106.94 ft².
    """
    return as_decimal(SQUARE_FEET_PER_GALLON_THOU / _above_zero(film_thou, "film"))


def film_thou(cover_ft2_per_gallon: Decimal) -> Decimal:
    """Wet film in thousandths of an inch when one US gallon covers ``cover_ft2_per_gallon`` ft².

    Raises RuleOfThumbError. Worked: 180 → 8.9.
    """
    return as_decimal(SQUARE_FEET_PER_GALLON_THOU / _above_zero(cover_ft2_per_gallon, "cover"))


def gallons_by_cover(area_ft2: Decimal, cover_ft2_per_gallon: Decimal, layers: int = 1) -> Decimal:
    """US gallons for ``layers`` layers of ``area_ft2`` ft² at a dealer's cover in ft² per gallon, its waste within.

    Raises RuleOfThumbError. Worked: 2 layers of 100 ft² at 30 → 6.667.
    """
    return as_decimal(layers * Fraction(area_ft2) / _above_zero(cover_ft2_per_gallon, "cover"))


def mixed_epoxy_gal(area_ft2: Decimal, cloth_oz_per_yd2: Decimal) -> Decimal:
    """Mixed epoxy in US gallons for one layer of cloth by hand with three rolled fill coats, 15 % waste within.

    Area in ft², cloth in oz/yd². Source: a published estimating article, area × (weight × 0.00085 + 0.0075). Worked:
    56 ft², 12 oz → 0.991 gal.
    """
    return area_ft2 * (cloth_oz_per_yd2 * Decimal("0.00085") + Decimal("0.0075"))


def layers_for_thickness(thickness_in: Decimal, one_layer_in: Decimal) -> int:
    """Layers needed to reach a thickness, both in inches; whole layers, exact decimals.

    Raises RuleOfThumbError. Source: published thickness table per cloth. Worked: 0.25 by 0.010 → 25, not 26.
    """
    return ceil(Fraction(thickness_in) / _above_zero(one_layer_in, "thickness of a layer"))


def cloth_mass_oz(area_yd2: Decimal, areal_weight_oz_per_yd2: Decimal) -> Decimal:
    """Mass in oz of an area in yd² of cloth in oz/yd².

    Worked: 3 yd² of 4 oz → 12 oz; hand rule: as much resin again.
    """
    return area_yd2 * areal_weight_oz_per_yd2


def piece_mass_g(length_yd: Decimal, width_in: Decimal, areal_weight_oz_per_yd2: Decimal) -> Decimal:
    """Mass in g of a piece: length in yd, width in in, areal weight in oz/yd². Worked: 1 yd, 38 in, 8 oz → 239.40 g."""
    ounces = Fraction(length_yd) * Fraction(width_in) / 36 * Fraction(areal_weight_oz_per_yd2)
    return as_decimal(ounces * UNITS["oz"].factor)
