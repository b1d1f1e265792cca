"""What forms and screens need of units: typed text to stored whole numbers, stored numbers to text.

Stored: length whole mm, mass whole g, areal weight g/m² with two decimals, temperature °C with one. Each value is
rounded once. ``system`` is METRIC or US.
"""

from decimal import Decimal
from fractions import Fraction

from shopstock.calc.areal_weight import check_areal_weight
from shopstock.calc.forms import form_of
from shopstock.calc.quantity import (
    AREAL_WEIGHT,
    EXAMPLES,
    LENGTH,
    MASS,
    TEMPERATURE,
    UNITS,
    Quantity,
    UnitError,
    convert,
    read_quantity,
    rounded,
    unit_of,
)

__all__ = [
    "METRIC",
    "US",
    "Quantity",
    "UnitError",
    "convert",
    "format_areal_weight",
    "format_length",
    "format_mass",
    "format_temperature",
    "format_width",
    "parse_areal_weight_gsm",
    "parse_length_mm",
    "parse_mass_g",
    "parse_temperature_c",
    "read_quantity",
    "unit_of",
]

METRIC = "metric"
US = "us"

LONGEST_LENGTH_MM = 10_000_000
HEAVIEST_MASS_G = 100_000_000


def parse_length_mm(text: str, default_unit: str | None = None) -> int:
    """A typed length as whole millimetres, rounded once.

    ``default_unit`` is used when no unit was typed; None refuses a bare number. Raises UnitError for no number, no
    unit, another kind of unit, a negative length or one above 10 km. Worked: "50 in" → 1270; "30 yd" → 27432; "5'
    6\"" → 1676.
    """
    exact = _typed(text, "mm", LENGTH, default_unit)
    return int(rounded(_between(exact, LONGEST_LENGTH_MM, text, "length", "10 km"), 0))


def parse_mass_g(text: str, default_unit: str | None = None) -> int:
    """A typed mass as whole grams, rounded once.

    ``default_unit`` as in parse_length_mm. Raises UnitError; above 100 t is refused. Worked: "12,5 kg" → 12500.
    """
    exact = _typed(text, "g", MASS, default_unit)
    return int(rounded(_between(exact, HEAVIEST_MASS_G, text, "mass", "100 t"), 0))


def parse_temperature_c(text: str, default_unit: str | None = None) -> Decimal:
    """A typed temperature in °C with one decimal. Raises UnitError. Worked: "68 °F" → 20.0; "-18 °C" → -18.0."""
    exact = _typed(text, "°C", TEMPERATURE, default_unit)
    if not -100 <= exact <= 300:
        raise UnitError(f"“{text.strip()}” is no temperature of a shop. Check the number and whether it is °C or °F.")
    return rounded(exact, 1)


def parse_areal_weight_gsm(text: str, form: str) -> Decimal:
    """A typed areal weight in g/m² with two decimals, checked against what ``form`` can weigh.

    "oz" alone means the trade's unit of the form: oz/ft² for mat, oz/yd² for the rest. Raises UnitError, of which
    AmbiguousWeight says what was probably meant. Worked: "1.5 oz", mat → 457.73; "12 oz/yd²", cloth → 406.87.
    """
    quantity = read_quantity(text, AREAL_WEIGHT)
    if quantity.number <= 0:
        raise UnitError(f"An areal weight is above zero, for example {EXAMPLES[AREAL_WEIGHT]}.")
    unit = quantity.unit.symbol if quantity.unit else None
    return rounded(check_areal_weight(quantity.number, unit, form), 2)


def _typed(text: str, target: str, kind: str, default_unit: str | None) -> Fraction:
    quantity = read_quantity(text, kind)
    unit = quantity.unit or (unit_of(default_unit) if default_unit else None)
    if unit is None:
        raise UnitError(f"Write the unit too: “{text.strip()}” could be anything. For example {EXAMPLES[kind]}.")
    if unit.kind != kind:
        raise UnitError(f"{unit.symbol} does not measure a {kind}. Write it like {EXAMPLES[kind]}.")
    return Quantity(quantity.number, unit).in_unit(target)


def _between(exact: Fraction, most: int, text: str, kind: str, most_text: str) -> Fraction:
    if exact < 0:
        raise UnitError(f"A {kind} cannot be negative: “{text.strip()}”.")
    if exact > most:
        raise UnitError(f"“{text.strip()}” is more than {most_text}. Check the number and its unit.")
    return exact


def _trimmed(number: Decimal, least_places: int = 0) -> str:
    """Thousands spaced, trailing zeros dropped down to ``least_places``."""
    whole, _, part = f"{number:,f}".replace(",", "\u202f").partition(".")
    part = part.rstrip("0").ljust(least_places, "0")
    return f"{whole}.{part}" if part else whole


def format_length(length_mm: int, system: str) -> str:
    """A length to read along a roll or a tape.

    ``length_mm`` in mm. Metric: mm below 1 m, else metres, exact. US: inches below 10 ft, else feet and inches to 0.1
    in. Worked: 12500 → "12.50 m" or "41 ft 0.1 in".
    """
    if system == US:
        return _us_length(length_mm)
    if abs(length_mm) < 1000:
        return f"{length_mm} mm"
    return f"{_trimmed(Decimal(length_mm).scaleb(-3), 2)} m"


def _us_length(length_mm: int) -> str:
    inches = Fraction(length_mm) / UNITS["in"].factor
    if abs(inches) < 120:
        return f"{_trimmed(rounded(inches, 2))} in"
    feet, rest = divmod(rounded(abs(inches), 1), 12)
    sign = "-" if length_mm < 0 else ""
    whole = f"{sign}{_trimmed(feet)} ft"
    return f"{whole} {_trimmed(rest)} in" if rest else whole


def format_width(width_mm: int, system: str) -> str:
    """A width: mm, or inches to 0.01. ``width_mm`` in mm. Worked: 1270 → "1270 mm" or "50 in"."""
    if system == US:
        return f"{_trimmed(rounded(Fraction(width_mm) / UNITS['in'].factor, 2))} in"
    return f"{width_mm} mm"


def format_mass(mass_g: int | Decimal, system: str) -> str:
    """A mass: g below 1 kg, else kg; US oz below 1 lb, else lb.

    ``mass_g`` in g. Worked: 12500 → "12.50 kg" or "27.56 lb".
    """
    exact = Fraction(mass_g)
    if system == US:
        small = abs(exact) < UNITS["lb"].factor
        unit, places = ("oz", 1) if small else ("lb", 2)
        return f"{_trimmed(rounded(exact / UNITS[unit].factor, places))} {unit}"
    if abs(exact) < 1000:
        return f"{_trimmed(rounded(exact, 1))} g"
    return f"{_trimmed(rounded(exact / 1000, 3), 2)} kg"


def format_temperature(temperature_c: Decimal, system: str) -> str:
    """A temperature with one decimal where needed. ``temperature_c`` in °C. Worked: 18 → "18 °C" or "64.4 °F"."""
    unit = "°F" if system == US else "°C"
    return f"{_trimmed(rounded(convert(temperature_c, '°C', unit), 1))} {unit}"


def format_areal_weight(areal_weight_gsm: Decimal, form: str, system: str) -> str:
    """An areal weight in both units, the shop's own first; ounces always in the trade's unit of the form.

    ``areal_weight_gsm`` in g/m². Worked: 450, mat, metric → "450 g/m² · 1.47 oz/ft²".
    """
    trade_unit = form_of(form).trade_unit
    ounces = rounded(Fraction(areal_weight_gsm) / UNITS[trade_unit].factor, 2)
    both = [f"{_trimmed(rounded(areal_weight_gsm, 2))} g/m²", f"{ounces} {trade_unit}"]
    return " · ".join(reversed(both) if system == US else both)
