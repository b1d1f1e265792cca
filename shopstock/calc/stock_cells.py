"""One cell of a stock file: text, number or date to the value that is stored."""

import datetime
import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from shopstock.calc.forms import FIBRES, FORMS, WEAVES
from shopstock.calc.quantity import read_quantity, rounded
from shopstock.calc.units import parse_length_mm, parse_mass_g

Cell = str | int | float | Decimal | bool | datetime.date | None

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")

SHORTEST_LENGTH_MM, LONGEST_LENGTH_MM = 50, 2_000_000
NARROWEST_MM, WIDEST_MM = 5, 6_000
MOST_ALIKE = 500


class CellError(ValueError):
    """A cell that cannot be taken; the message says what to do."""


@dataclass(frozen=True)
class FaultCell:
    """A fault as written in a file: mm from the free end, its cause, a note."""

    from_free_mm: int
    to_free_mm: int
    cause: str
    note: str = ""


def shielded(text: str) -> str:
    """Text that no spreadsheet takes for a formula: a ' is set before it. ``unshielded`` takes it away again.

    Worked: "=1+1" → "'=1+1"; "'=1" → "''=1"; "plain" stays.
    """
    return f"'{text}" if text.lstrip("'").startswith(FORMULA_STARTS) else text


def unshielded(text: str) -> str:
    """The text without the ' that ``shielded`` set. Worked: "'=1+1" → "=1+1"; "'tis" stays."""
    is_shielded = text.startswith("'") and text.lstrip("'").startswith(FORMULA_STARTS)
    return text[1:] if is_shielded else text


def text_of(cell: Cell) -> str:
    """A cell as text, whole numbers without a point. Worked: 12.0 → "12"; 0.1 → "0.1"; None → ""."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{int(cell)}" if cell.is_integer() else f"{Decimal(repr(cell)):f}"
    if isinstance(cell, datetime.datetime) and cell.time() == datetime.time():
        return str(cell.date())
    return unshielded(" ".join(str(cell).split()))


@lru_cache(maxsize=4096)
def read_width(text: str, unit: str | None) -> int:
    """A width in mm, from 5 mm to 6 m; ``unit`` counts where the text has none. Raises CellError, UnitError."""
    width_mm = parse_length_mm(text, unit)
    if width_mm < NARROWEST_MM:
        raise CellError(f"{width_mm} mm is narrower than any fabric. Check the number and its unit.")
    if width_mm > WIDEST_MM:
        raise CellError(f"{width_mm} mm is wider than any fabric. Check the number and its unit.")
    return width_mm


@lru_cache(maxsize=4096)
def read_length(text: str, unit: str | None) -> int:
    """A length in mm, from 50 mm to 2 km; ``unit`` counts where the text has none. Raises CellError, UnitError."""
    length_mm = parse_length_mm(text, unit)
    if length_mm == 0:
        raise CellError("Nothing is on this roll. Delete the line, or enter what is left.")
    if length_mm < SHORTEST_LENGTH_MM:
        raise CellError(f"{length_mm} mm is shorter than anything worth keeping. Check the number and its unit.")
    if length_mm > LONGEST_LENGTH_MM:
        raise CellError(f"{length_mm // 1000} m is more than any roll holds. Check the number and its unit.")
    return length_mm


@lru_cache(maxsize=4096)
def read_mass(text: str, unit: str | None) -> int:
    """A mass in g above nothing; ``unit`` counts where the text has none. Raises CellError, UnitError."""
    mass_g = parse_mass_g(text, unit)
    if mass_g == 0:
        raise CellError("A weight is more than nothing. Leave the cell empty if it was not weighed.")
    return mass_g


def read_price(text: str) -> Decimal:
    """A price with two decimals, without a currency. Raises CellError, UnitError. Worked: "120,50" → 120.50."""
    if not set(text) <= set("0123456789., "):
        raise CellError("A price is a number alone, not below zero, such as 120.50.")
    amount = read_quantity(text).number
    if amount >= 10**8:
        raise CellError("No roll costs that much. Check the price.")
    return rounded(amount, 2)


def read_count(text: str) -> int:
    """How many alike, 1 to 500. Raises CellError."""
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text[:6]) <= MOST_ALIKE:
        raise CellError(f"Write how many alike rolls there are, 1 to {MOST_ALIKE}.")
    return int(text)


def read_choice(text: str, words: Mapping[str, str], what: str) -> str:
    """The key that a word stands for, in any case. Raises CellError with the nearest words.

    Worked: "Quarantined" → "quarantined"; "quarantine" is told of "quarantined".
    """
    known = " ".join(re.sub(r"[_\-–]+", " ", text).lower().split())
    if known in words:
        return words[known]
    near = difflib.get_close_matches(known, words, n=1, cutoff=0.6)
    hint = f"Did you mean “{near[0]}”?" if near else f"Write one of: {', '.join(dict.fromkeys(words))}."
    raise CellError(f"“{text}” is no {what}. {hint}")


def words_of(choices: Mapping[str, str], more: Mapping[str, str] | None = None) -> dict[str, str]:
    """Words to keys: names and keys of the choices, and further words. Worked: {"rack": "rack"} → {"rack": "rack"}."""
    words = {_word(name): key for key, name in choices.items()}
    return words | {_word(key): key for key in choices} | dict(more or {})


def _word(text: str) -> str:
    return " ".join(re.sub(r"[_\-–]+", " ", text).lower().split())


FORM_WORDS = words_of(
    {key: form.name for key, form in FORMS.items()},
    {
        "csm": "mat", "chop mat": "mat", "chopped mat": "mat", "wr": "woven_roving", "roving": "woven_roving",
        "woven cloth": "cloth", "biax": "stitched", "biaxial": "stitched", "triax": "stitched", "triaxial": "stitched",
        "quadraxial": "stitched", "multiaxial": "stitched", "ud": "unidirectional", "uni": "unidirectional",
        "combi": "combination", "combo": "combination", "combi mat": "combination", "tissue": "veil",
        "surface veil": "veil",
    },
)  # fmt: skip
FIBRE_WORDS = words_of(
    {key: fibre.name for key, fibre in FIBRES.items()},
    {"glass": "e_glass", "eglass": "e_glass", "sglass": "s_glass", "carbon fibre": "carbon", "carbon fiber": "carbon"},
)
WEAVE_WORDS = words_of(
    WEAVES, {"none": "none", "no weave": "none", "2x2 twill": "twill", "2/2 twill": "twill", "plain weave": "plain"}
)

_RANGE = re.compile(
    r"(?:from )?(?P<low>[\d.,]+ ?[^\d\s,;–-]*?)\s*(?:-|–|to)\s*(?P<high>[\d.,]+)\s*(?P<unit>mm|cm|m|in|ft|yd|\"|')"
    r"(?: from the free end)?:?\s+(?P<cause>[^(]+?)\s*(?:\((?P<note>.*)\))?",
    re.IGNORECASE,
)


def read_faults(text: str, causes: Mapping[str, str]) -> tuple[FaultCell, ...]:
    """Faults separated by ";", each "from-to unit cause (note)", measured from the free end; causes as words to keys.

    Raises CellError, UnitError. Worked: "12.5-12.8 m crease" → 12500 to 12800, crease.
    """
    return tuple(_fault(part.strip(), causes) for part in text.split(";") if part.strip())


def _fault(text: str, causes: Mapping[str, str]) -> FaultCell:
    match = _RANGE.fullmatch(text)
    if not match:
        raise CellError(f"“{text}” is no fault. Write from-to, unit and cause, such as 12.5-12.8 m crease.")
    low = parse_length_mm(match["low"], match["unit"])
    high = parse_length_mm(match["high"], match["unit"])
    if low >= high:
        raise CellError(f"“{text}” ends before it begins. Write the nearer end first, from the free end.")
    return FaultCell(low, high, read_choice(match["cause"], causes, "cause"), match["note"] or "")
