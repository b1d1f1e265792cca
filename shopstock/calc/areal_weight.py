"""Is this areal weight believable for this form, and if not, what was probably meant.

Mat is named in ounces per square foot, everything else in ounces per square yard. One is nine times the other, so a
slip costs nine times the glass and the resin.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shopstock.calc.forms import OZ_PER_SQUARE_FOOT, OZ_PER_SQUARE_YARD, Form, form_of
from shopstock.calc.quantity import UNITS, Quantity, UnitError, as_decimal, rounded, unit_of

GRAM_PER_SQUARE_METRE = "g/m²"
LAYER_SUM_TOLERANCE_PERCENT = Decimal(3)

# Mat is made from 0.5 to 3 oz/ft²; a number this small typed with "oz/yd²" is the square foot forgotten.
_MAT_NUMBER_THAT_MEANS_SQUARE_FEET = 4


@dataclass(frozen=True)
class Reading:
    """One way to read a weight: the number, its unit, and what it comes to in g/m²."""

    number: Decimal
    unit: str
    areal_weight_gsm: Decimal

    def __str__(self) -> str:
        own = f"{self.number.normalize():f} {self.unit}"
        return own if self.unit == GRAM_PER_SQUARE_METRE else f"{own} ({self.areal_weight_gsm} g/m²)"


class ImplausibleWeight(UnitError):
    """An areal weight that no fabric of this form has."""


class AmbiguousWeight(ImplausibleWeight):
    """An areal weight that fits only in another unit; ``likely`` holds the readings that would fit, best first."""

    def __init__(self, message: str, likely: Sequence[Reading]):
        super().__init__(message)
        self.likely = tuple(likely)


class LayersDoNotAddUp(ValueError):
    """Layers whose weights do not come to the total."""


def check_areal_weight(value: Decimal | Fraction | int, unit: str | None, form: str) -> Decimal:
    """The areal weight in g/m² (exact to 28 digits) if it is believable for ``form``; refused otherwise.

    ``value`` is in ``unit``: g/m², kg/m², oz/ft², oz/yd², or plain oz, which is taken in the trade's unit of the form;
    None means that no unit was given. Raises AmbiguousWeight when another unit was probably meant, ImplausibleWeight
    when no unit makes sense. Source: ranges that are made, forms.py. Worked: 1.5, "oz", mat → 457.73; 1.5, "oz/yd²",
    mat → AmbiguousWeight, likely 1.5 oz/ft².
    """
    shape, number = form_of(form), Fraction(value)
    if unit is None:
        raise _ambiguous(f"{_show(number)} has no unit.", number, shape, None)
    own_unit = _weight_unit(unit, shape)
    exact_gsm = number * UNITS[own_unit].factor
    if not _fits(exact_gsm, shape):
        raise _ambiguous(_out_of_range(number, own_unit, exact_gsm, shape), number, shape, own_unit)
    if _forgot_square_feet(number, own_unit, shape):
        raise _ambiguous(_sold_by_the_foot(number, shape), number, shape, own_unit)
    return as_decimal(exact_gsm)


def _weight_unit(unit: str, form: Form) -> str:
    found = unit_of(unit)
    if found.symbol == "oz":
        return form.trade_unit
    if found.kind != UNITS[GRAM_PER_SQUARE_METRE].kind:
        raise UnitError(f"{found.symbol} is not a weight per area. Write it in g/m² or {form.trade_unit}.")
    return found.symbol


def _fits(areal_weight_gsm: Fraction, form: Form) -> bool:
    return form.lightest_gsm <= areal_weight_gsm <= form.heaviest_gsm


def _forgot_square_feet(number: Fraction, unit: str, form: Form) -> bool:
    is_mat = form.trade_unit == OZ_PER_SQUARE_FOOT
    return is_mat and unit == OZ_PER_SQUARE_YARD and number <= _MAT_NUMBER_THAT_MEANS_SQUARE_FEET


def likely_readings(number: Fraction, form: str, *, other_than: str | None = None) -> list[Reading]:
    """Units in which ``number`` would be a believable areal weight of ``form``, the most usual first.

    Worked: 450 for mat → [450 g/m²]; 1.5 for mat → [1.5 oz/ft² = 457.73 g/m²].
    """
    shape = form_of(form)
    units = [shape.trade_unit, GRAM_PER_SQUARE_METRE, OZ_PER_SQUARE_YARD, OZ_PER_SQUARE_FOOT, "kg/m²"]
    readings = [(unit, number * UNITS[unit].factor) for unit in dict.fromkeys(units) if unit != other_than]
    return [
        Reading(rounded(number, 3), unit, rounded(gsm, 2))
        for unit, gsm in readings
        if _fits(gsm, shape) and not _forgot_square_feet(number, unit, shape)
    ]


def _ambiguous(problem: str, number: Fraction, form: Form, own_unit: str | None) -> ImplausibleWeight:
    likely = likely_readings(number, form.key, other_than=own_unit)
    if likely:
        return AmbiguousWeight(f"{problem} Did you mean {' or '.join(_in_both(r, form) for r in likely[:2])}?", likely)
    return ImplausibleWeight(
        f"{problem} {form.name.capitalize()} weighs {_show(form.lightest_gsm)} to {_show(form.heaviest_gsm)} g/m²: "
        "check the number and its unit on the label."
    )


def _in_both(reading: Reading, form: Form) -> str:
    if reading.unit != GRAM_PER_SQUARE_METRE:
        return str(reading)
    ounces = rounded(Fraction(reading.areal_weight_gsm) / UNITS[form.trade_unit].factor, 2)
    return f"{reading} ({ounces} {form.trade_unit})"


def _out_of_range(number: Fraction, unit: str, exact_gsm: Fraction, form: Form) -> str:
    weighs = "" if unit == GRAM_PER_SQUARE_METRE else f" is {_show(exact_gsm)} g/m²,"
    verdict = "too light" if exact_gsm < form.lightest_gsm else "too heavy"
    return f"{_show(number)} {unit}{weighs or ' is'} {verdict} for {form.name}."


def _sold_by_the_foot(number: Fraction, form: Form) -> str:
    return f"{_show(number)} oz/yd² is hardly a {form.name}: its ounces are counted per square foot."


def _show(number: Fraction | Decimal) -> str:
    return f"{rounded(number, 2).normalize():f}"


def layers_total_gsm(layers: Sequence[tuple[Decimal | Fraction | int, str]]) -> Decimal:
    """Total in g/m² of layers given as (number, unit), each in its own unit of weight per area; exact to 28 digits.

    Raises UnitError. Worked: 17 oz/yd² and 0.75 oz/ft² → 805.26 g/m².
    """
    exact = [Quantity(Fraction(number), unit_of(unit)).in_unit(GRAM_PER_SQUARE_METRE) for number, unit in layers]
    return as_decimal(sum(exact, Fraction(0)))


def check_layers(total_gsm: Decimal, layers_gsm: Sequence[Decimal]) -> Decimal:
    """The sum of the layers in g/m², if it lies within 3 % of the total areal weight (g/m²); refused otherwise.

    The 3 % leave room for stitching yarn and rounding. Raises LayersDoNotAddUp. Worked: total 754, layers 354, 200, 200
    → 754; total 576, layers 576 and 229 → refused (a "1708" weighs 805, not 576).
    """
    layer_sum = sum(layers_gsm, Decimal(0))
    if abs(layer_sum - total_gsm) > total_gsm * LAYER_SUM_TOLERANCE_PERCENT / 100:
        raise LayersDoNotAddUp(
            f"The layers come to {_show(layer_sum)} g/m² but the fabric is given as {_show(total_gsm)} g/m². "
            f"They may differ by {LAYER_SUM_TOLERANCE_PERCENT} %. Check whether the mat layer is in oz/ft² and "
            "whether the name was taken for the weight."
        )
    return layer_sum
