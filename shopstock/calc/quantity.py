"""Numbers with their units: exact factors, conversion, and reading what a person typed.

Factors are exact by definition (inch 25.4 mm, pound 453.59237 g, US gallon 231 in³) and kept as fractions, so a value
is rounded once, when it is stored or shown, and never in between.
"""

import difflib
import re
import unicodedata
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction

LENGTH = "length"
MASS = "mass"
VOLUME = "volume"
AREA = "area"
AREAL_WEIGHT = "areal weight"
DENSITY = "density"
TEMPERATURE = "temperature"

EXAMPLES = {
    LENGTH: "12.5 m or 50 in",
    MASS: "12.5 kg or 30 lb",
    VOLUME: "20 L or 5 gal",
    AREA: "2.5 m² or 30 ft²",
    AREAL_WEIGHT: "450 g/m² or 12 oz/yd²",
    DENSITY: "1.10 kg/L or 9.2 lb/gal",
    TEMPERATURE: "20 °C or 68 °F",
}


_EXAMPLES_OF_MOST = ", ".join(EXAMPLES[kind] for kind in (LENGTH, MASS, VOLUME, AREAL_WEIGHT))


class UnitError(ValueError):
    """A typed quantity that cannot be read; the message says what was probably meant."""


@dataclass(frozen=True)
class Unit:
    """One unit: ``value · factor + offset`` is the value in mm, g, L, m², g/m², kg/L or °C, by its kind."""

    symbol: str
    kind: str
    factor: Fraction
    offset: Fraction = Fraction(0)


@dataclass(frozen=True)
class Quantity:
    """A typed number, exact, with the unit it was typed in; ``unit`` is None when none was typed."""

    number: Fraction
    unit: Unit | None

    def in_unit(self, symbol: str) -> Fraction:
        """The number in another unit of the same kind; raises UnitError."""
        return _convert(self.number, self.unit, unit_of(symbol))


_INCH_MM = Fraction("25.4")
_POUND_G = Fraction("453.59237")
_OUNCE_G = _POUND_G / 16
_GALLON_L = 231 * _INCH_MM**3 / 10**6
_FOOT2_M2 = (12 * _INCH_MM / 1000) ** 2
_YARD2_M2 = 9 * _FOOT2_M2


def _table() -> dict[str, Unit]:
    factors = {
        LENGTH: {
            "µm": Fraction(1, 1000),
            "mm": 1,
            "cm": 10,
            "m": 1000,
            "km": 10**6,
            "thou": _INCH_MM / 1000,
            "in": _INCH_MM,
            "ft": 12 * _INCH_MM,
            "yd": 36 * _INCH_MM,
        },
        MASS: {"mg": Fraction(1, 1000), "g": 1, "kg": 1000, "t": 10**6, "oz": _OUNCE_G, "lb": _POUND_G},
        VOLUME: {"mL": Fraction(1, 1000), "L": 1, "pt": _GALLON_L / 8, "qt": _GALLON_L / 4, "gal": _GALLON_L},
        AREA: {
            "mm²": Fraction(1, 10**6),
            "cm²": Fraction(1, 10**4),
            "m²": 1,
            "in²": _FOOT2_M2 / 144,
            "ft²": _FOOT2_M2,
            "yd²": _YARD2_M2,
        },
        AREAL_WEIGHT: {
            "g/m²": 1,
            "kg/m²": 1000,
            "oz/ft²": _OUNCE_G / _FOOT2_M2,
            "oz/yd²": _OUNCE_G / _YARD2_M2,
            "lb/ft²": _POUND_G / _FOOT2_M2,
        },
        DENSITY: {
            "kg/L": 1,
            "g/cm³": 1,
            "g/mL": 1,
            "kg/m³": Fraction(1, 1000),
            "lb/gal": _POUND_G / 1000 / _GALLON_L,
            "lb/ft³": _POUND_G / (12 * _INCH_MM / 100) ** 3 / 1000,
        },
    }
    table = {symbol: Unit(symbol, kind, Fraction(f)) for kind, row in factors.items() for symbol, f in row.items()}
    table["°C"] = Unit("°C", TEMPERATURE, Fraction(1))
    table["°F"] = Unit("°F", TEMPERATURE, Fraction(5, 9), Fraction(-160, 9))
    return table


UNITS: dict[str, Unit] = _table()

# Words as typed, lower case, without full stops or carets. A "mil" of film is a thousandth of an inch.
_WORDS = {
    "um": "µm", "micron": "µm", "microns": "µm", "mil": "thou", "mils": "thou",
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "mtr": "m", "mtrs": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "inch": "in", "inches": "in", "ins": "in", "foot": "ft", "feet": "ft", "yard": "yd", "yards": "yd", "yds": "yd",
    "gram": "g", "grams": "g", "gramme": "g", "grammes": "g", "gr": "g", "kilo": "kg", "kilos": "kg",
    "kilogram": "kg", "kilograms": "kg", "kgs": "kg", "ounce": "oz", "ounces": "oz", "ozs": "oz",
    "pound": "lb", "pounds": "lb", "lbs": "lb", "tonne": "t", "tonnes": "t",
    "litre": "l", "litres": "l", "liter": "l", "liters": "l", "ltr": "l", "cc": "ml",
    "gallon": "gal", "gallons": "gal", "gals": "gal", "quart": "qt", "quarts": "qt", "pint": "pt", "pints": "pt",
    "gsm": "g/m2", "osy": "oz/yd2", "osf": "oz/ft2", "sqm": "m2", "qm": "m2",
    "sqft": "ft2", "sqyd": "yd2", "sqin": "in2",
    "c": "°c", "f": "°f", "celsius": "°c", "deg": "°", "fahrenheit": "°f", "degc": "°c", "degf": "°f",
}  # fmt: skip

_LOOKUP = {unicodedata.normalize("NFKC", symbol).lower(): unit for symbol, unit in UNITS.items()}


def _clean(text: str) -> str:
    """One spelling for the many: fractions spaced out, primes as ' and ", superscripts as digits, plain minus."""
    spaced = "".join(f" {c}" if unicodedata.decomposition(c).startswith("<fraction>") else c for c in text)
    plain = unicodedata.normalize("NFKC", spaced).replace("\u2044", "/").replace("\u2212", "-").replace("\u2013", "-")
    plain = re.sub("[\u2032\u2018\u2019\u00b4]", "'", plain)
    plain = re.sub("''|[\u201c\u201d\u201e]", '"', plain)
    return " ".join(plain.split())


def unit_of(text: str) -> Unit:
    """The unit named by ``text`` in any usual spelling; raises UnitError with the nearest unit.

    Worked: "oz/sq yd", "oz/yd^2" and "oz/yd²" are one unit; "gsm" is g/m².
    """
    key = _unit_key(_clean(text))
    if key in _LOOKUP:
        return _LOOKUP[key]
    near = difflib.get_close_matches(key, _LOOKUP, n=1, cutoff=0.6)
    hint = f"Did you mean {_LOOKUP[near[0]].symbol}?" if near else f"Write it like {_EXAMPLES_OF_MOST}."
    raise UnitError(f"“{text.strip()}” is not a unit known here. {hint}")


def _unit_key(text: str) -> str:
    key = text.lower().replace("^", "").replace(".", " ").replace("°", " °").replace("° ", "°")
    key = {"'": "ft", '"': "in"}.get(key.strip(), key)
    key = re.sub(r"\s*\bper\b\s*", "/", key)
    key = re.sub(r"\b(?:square|sq)\s*([a-z]+)", lambda m: _WORDS.get(m[1], m[1]) + "2", key)
    key = re.sub(r"[a-zµμ]+", lambda m: _WORDS.get(m[0], m[0]), key)
    return key.replace(" ", "").replace("°°", "°")


_LONGEST_TEXT = 40
_FRACTION = r"(?:(?P<whole>\d+)[ -])?(?P<top>\d+) ?/ ?(?P<bottom>\d+)"
_FRACTION_TEXT = re.compile(rf"(?P<sign>[-+]?) ?{_FRACTION}\s*(?P<unit>\D.*)?$")
_DECIMAL_TEXT = re.compile(r"(?P<number>[-+]?\s?(?:\d[\d., ]*|[.,]\d+))\s*(?P<unit>[^\d.,].*)?$")
_FEET_AND_INCHES = re.compile(r"(?P<feet>.*\d ?(?:'|ft|feet|foot))\.? ?(?P<inches>\d.*)$", re.IGNORECASE)


def read_quantity(text: str, kind: str = LENGTH) -> Quantity:
    """Read one typed number with its unit, such as "12 oz/yd²", "1½ oz", "12,5 kg", "5 ft 6 in" or "55".

    Raises UnitError when there is no number, with an example of the ``kind`` wanted, when the number can be read in two
    ways ("1,200"), or the unit is unknown. Worked: "12,5 kg" → 25/2 kg.
    """
    cleaned, example = _clean(text), EXAMPLES[kind].split(" or ")[0]
    if not cleaned or len(cleaned) > _LONGEST_TEXT:
        raise UnitError(f"Type a number with its unit, for example {example}.")
    feet = _FEET_AND_INCHES.fullmatch(cleaned)
    if feet:
        return _feet_and_inches(feet["feet"], feet["inches"])
    return _one_quantity(cleaned, example)


def _feet_and_inches(feet: str, inches: str) -> Quantity:
    large, small = _one_quantity(feet, "5 ft"), _one_quantity(inches, "6 in")
    if small.unit not in (None, UNITS["in"]):
        raise UnitError(f"After the feet write inches, for example 5 ft 6 in, not “{inches}”.")
    return Quantity(large.number * 12 + small.number, UNITS["in"])


def _one_quantity(text: str, example: str) -> Quantity:
    fraction = _FRACTION_TEXT.fullmatch(text)
    if fraction:
        return Quantity(_fraction(fraction, text), _unit_or_none(fraction["unit"]))
    match = _DECIMAL_TEXT.fullmatch(text)
    if not match:
        raise UnitError(f"“{text}” is not a number with a unit. Write it like {example}.")
    return Quantity(_decimal(match["number"]), _unit_or_none(match["unit"]))


def _unit_or_none(text: str | None) -> Unit | None:
    return unit_of(text) if text and text.strip(" .") else None


def _fraction(match: re.Match, text: str) -> Fraction:
    if int(match["bottom"]) == 0:
        raise UnitError(f"“{text}” divides by zero. Write it like 1 1/2.")
    size = int(match["whole"] or 0) + Fraction(int(match["top"]), int(match["bottom"]))
    return -size if match["sign"] == "-" else size


def _decimal(text: str) -> Fraction:
    """Read 12.5, 12,5, 1 200, 1,234.5 or 1.234,5; refuse what could be two numbers."""
    digits = text.replace(" ", "").rstrip(".,")
    sign, body = (-1, digits[1:]) if digits.startswith("-") else (1, digits.lstrip("+"))
    if " " in text.strip("+- ") and not re.fullmatch(r"[-+]? ?\d{1,3}(?: \d{3})+(?:[.,]\d+)?", text.strip()):
        raise UnitError(f"“{text.strip()}” looks like two numbers. Write one, like 12.5.")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", body):
        whole, part = body.split(",")
        raise UnitError(f"“{body}” can be read in two ways. Write {whole}{part} or {whole}.{part}.")
    return sign * Fraction(_plain_decimal(body, text))


def _plain_decimal(body: str, text: str) -> str:
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", body):
        return body.replace(",", "")
    if re.fullmatch(r"[1-9]\d{0,2}(?:\.\d{3})+,\d+|[1-9]\d{0,2}(?:\.\d{3}){2,}", body):
        return body.replace(".", "").replace(",", ".")
    if re.fullmatch(r"\d*[.,]?\d+", body):
        return body.replace(",", ".")
    raise UnitError(f"“{text.strip()}” is not a number. Write it like 1234.5.")


def _convert(number: Fraction, unit: Unit, target: Unit) -> Fraction:
    if unit.kind != target.kind:
        raise UnitError(f"{unit.symbol} is {_a(unit.kind)}, {target.symbol} is {_a(target.kind)}: they do not convert.")
    return (number * unit.factor + unit.offset - target.offset) / target.factor


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


_EXACT_ENOUGH = Context(prec=28)


def as_decimal(number: Fraction) -> Decimal:
    """A fraction as a Decimal of 28 digits, for handing on; round it once where it is stored or shown."""
    return _EXACT_ENOUGH.divide(Decimal(number.numerator), Decimal(number.denominator))


def rounded(number: Fraction | Decimal, places: int) -> Decimal:
    """Round once, half away from zero, to ``places`` decimals. Worked: 2.345 to 2 places → 2.35."""
    exact = Fraction(number) * 10**places
    whole = (abs(exact) + Fraction(1, 2)).__floor__()
    return Decimal(whole if exact >= 0 else -whole).scaleb(-places)


def convert(value: Decimal | Fraction | int | float | str, from_unit: str, to_unit: str) -> Decimal:
    """Convert a value between two units of the same kind, not rounded beyond 28 digits.

    ``value`` is in ``from_unit``; the result is in ``to_unit``. A float counts as the decimal it prints as. Raises
    UnitError. Source: exact definitions of inch, pound and US gallon (NIST SP 811, 2008 edition, appendix B). Worked:
    1 oz/yd² → 33.90574747… g/m².
    """
    exact = Fraction(str(value)) if isinstance(value, float) else Fraction(value)
    return as_decimal(_convert(exact, unit_of(from_unit), unit_of(to_unit)))
