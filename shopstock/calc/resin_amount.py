"""Amounts of liquid product: a typed mass or volume as grams, and a typed density checked for slips of the point."""

from decimal import Decimal
from fractions import Fraction

from shopstock.calc.quantity import DENSITY, MASS, VOLUME, Quantity, UnitError, read_quantity, rounded, unit_of
from shopstock.calc.units import HEAVIEST_MASS_G

LIGHTEST, HEAVIEST = Decimal("0.6"), Decimal("2.5")  # solvents to heavily filled gelcoats and fairing compounds, kg/L
_USUAL = (Fraction("0.75"), Fraction("1.6"))


def read_amount_g(text: str, density_kg_l: Decimal, default_unit: str | None = None) -> int:
    """A typed mass, or a volume by its density, as whole grams, rounded once.

    ``density_kg_l`` in kg/L (the same number as g/cm³); ``default_unit`` is used when none was typed, None refuses a
    bare number. Raises UnitError. Source: m = ρ·V. Worked: "2 L" at 1.10 kg/L → 2200; "1 gal" at 1.10 → 4164.
    """
    quantity = read_quantity(text, MASS)
    unit = quantity.unit or (unit_of(default_unit) if default_unit else None)
    if unit is None:
        raise UnitError(
            f"Write the unit too: “{text.strip()}” could be grams or kilograms. For example 850 g or 1.2 kg."
        )
    if unit.kind not in (MASS, VOLUME):
        raise UnitError(f"{unit.symbol} measures no amount of resin. Write it like 850 g, 1.2 kg, 2 lb, 3 L or 1 gal.")
    exact = Quantity(quantity.number, unit)
    grams = exact.in_unit("g") if unit.kind == MASS else exact.in_unit("L") * Fraction(density_kg_l) * 1000
    if grams < 0 or grams > HEAVIEST_MASS_G:
        raise UnitError(f"“{text.strip()}” is no amount of resin. Check the number and its unit.")
    return int(rounded(grams, 0))


def read_density(text: str) -> Decimal:
    """A typed density in kg/L with three decimals (the same number as g/cm³); a bare number is kg/L.

    Raises UnitError for another kind of unit, and for a density that no resin has, with what was probably meant.
    Worked: "1,1" → 1.100; "9.2 lb/gal" → 1.102; "115" is refused: 1.15 kg/L was meant.
    """
    quantity = read_quantity(text, DENSITY)
    unit = quantity.unit or unit_of("kg/L")
    if unit.kind != DENSITY:
        raise UnitError(f"{unit.symbol} measures no density. Write it like 1.10 kg/L or 9.2 lb/gal.")
    exact = Quantity(quantity.number, unit).in_unit("kg/L")
    if not LIGHTEST <= exact <= HEAVIEST:
        raise UnitError(f"No resin weighs {text.strip()}{'' if quantity.unit else ' kg/L'}. {_meant(quantity)}")
    return rounded(exact, 3)


def _meant(quantity: Quantity) -> str:
    """The likely readings: a lost decimal point, kilograms a cubic metre, pounds a gallon."""
    guesses = [quantity.number / 10**shift for shift in (1, 2, 3)] if quantity.number > HEAVIEST else []
    readings = [f"{_short(guess)} kg/L" for guess in guesses if _USUAL[0] <= guess <= _USUAL[1]]
    if quantity.unit is None and 6 <= quantity.number <= 16:
        in_kg_l = Quantity(quantity.number, unit_of("lb/gal")).in_unit("kg/L")
        readings.append(f"{_short(quantity.number)} lb/gal, which is {_short(in_kg_l)} kg/L")
    if readings:
        return f"Did you mean {' or '.join(readings)}?"
    return f"Resins lie between {LIGHTEST} and {HEAVIEST} kg/L: look on the data sheet."


def _short(number: Fraction) -> str:
    return f"{rounded(number, 3).normalize():f}"
