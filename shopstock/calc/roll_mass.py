"""Length, mass and areal weight of a roll, each from the other two, and whether the measured weight is in tolerance.

The nominal areal weight may be 10 % out, so a length from weight is only as good as that; with this roll's own mass and
length at receipt the areal weight cancels (``length_mm_from_mass_ratio``).
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shopstock.calc.forms import form_of
from shopstock.calc.quantity import as_decimal

Number = int | Decimal | Fraction

TEX_TIMES_YIELD = Fraction("453592.37") / (Fraction("0.9144"))


class RollMassError(ValueError):
    """A weighing from which no length or areal weight can be told."""


@dataclass(frozen=True)
class WeighedIn:
    """Areal weights in g/m², difference in per cent of the nominal one."""

    measured_gsm: Decimal
    nominal_gsm: Decimal
    difference_percent: Decimal
    tolerance_percent: Decimal

    @property
    def in_tolerance(self) -> bool:
        return abs(self.difference_percent) <= self.tolerance_percent


def net_mass_g(gross_g: Number, tare_g: Number) -> Number:
    """Fabric on the tube in g from the weighed mass and the bare tube's, both in g; raises RollMassError.

    Worked: 32 600 − 1600 → 31 000.
    """
    if tare_g < 0 or gross_g < tare_g:
        raise RollMassError(
            f"The roll weighs {gross_g} g and its tube {tare_g} g: weigh again, or correct the tube's weight."
        )
    return gross_g - tare_g


def _above_zero(**figures: Number) -> None:
    for name, value in figures.items():
        if value <= 0:
            raise RollMassError(f"The {name} must be above zero, not {value}.")


def length_mm_from_mass(net_g: Number, areal_weight_gsm: Number, width_mm: Number) -> Decimal:
    """Length in mm of ``net_g`` g of fabric of ``areal_weight_gsm`` g/m² that is ``width_mm`` mm wide.

    Not rounded. Raises RollMassError. Source: dimensions. Worked: 35 kg, 450 g/m², 1270 mm → 61 242 mm.
    """
    _above_zero(areal_weight=areal_weight_gsm, width=width_mm)
    return as_decimal(Fraction(net_g) * 10**6 / (Fraction(areal_weight_gsm) * Fraction(width_mm)))


def mass_g_from_length(length_mm: Number, areal_weight_gsm: Number, width_mm: Number) -> Decimal:
    """Mass in g of ``length_mm`` mm of fabric of ``areal_weight_gsm`` g/m² that is ``width_mm`` mm wide, not rounded.

    Worked: 55 000 mm, 450 g/m², 1250 mm → 30 937.5 g.
    """
    return as_decimal(Fraction(length_mm) * Fraction(areal_weight_gsm) * Fraction(width_mm) / 10**6)


def measured_areal_weight_gsm(net_g: Number, length_mm: Number, width_mm: Number) -> Decimal:
    """This roll's own areal weight in g/m² from net mass (g), length (mm) and width (mm), not rounded.

    Raises RollMassError. Worked: 31 000 g, 55 000 mm, 1250 mm → 450.909 g/m².
    """
    _above_zero(length=length_mm, width=width_mm)
    return as_decimal(Fraction(net_g) * 10**6 / (Fraction(length_mm) * Fraction(width_mm)))


def length_mm_from_mass_ratio(length_at_receipt_mm: Number, net_at_receipt_g: Number, net_now_g: Number) -> Decimal:
    """Length in mm left on a roll weighed at receipt and now; areal weight and width cancel. Not rounded.

    Lengths in mm, net masses in g. Raises RollMassError. Worked: 55 000 mm, 31 000 g, now 19 800 g → 35 129 mm.
    """
    _above_zero(length_at_receipt=length_at_receipt_mm, mass_at_receipt=net_at_receipt_g)
    return as_decimal(Fraction(length_at_receipt_mm) * Fraction(net_now_g) / Fraction(net_at_receipt_g))


def weigh_in(
    measured_gsm: Decimal, nominal_gsm: Decimal, form: str, *, tolerance_percent: Decimal | None = None
) -> WeighedIn:
    """Compare a roll's measured areal weight with its nominal one, both in g/m².

    The tolerance in per cent is the data sheet's if given, else the form's (±10 % mat and woven roving, ±5 % cloth).
    Raises RollMassError and UnknownForm. Source: ASTM D4389/D4389M-16 §12 for woven roving; mat from a data
    sheet, cloth from memory. Worked: 490 against 450, mat → 8.9 %, in tolerance; 500 → 11.1 %, not.
    """
    _above_zero(nominal_areal_weight=nominal_gsm)
    allowed = form_of(form).weight_tolerance_percent if tolerance_percent is None else tolerance_percent
    difference = as_decimal((Fraction(measured_gsm) - Fraction(nominal_gsm)) * 100 / Fraction(nominal_gsm))
    return WeighedIn(measured_gsm, nominal_gsm, difference, allowed)


def tex_from_yield(yards_per_pound: Number) -> Decimal:
    """Linear density in tex (g/km) of a roving or yarn of ``yards_per_pound`` yd/lb; raises RollMassError.

    The same function turns tex into yield. Source: exact pound and yard. Worked: 250 yd/lb → 1984.2 tex.
    """
    _above_zero(yards_per_pound=yards_per_pound)
    return as_decimal(TEX_TIMES_YIELD / Fraction(yards_per_pound))
