"""The columns of a stock file, and how headings are recognised: any case, units in them, other usual names."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from shopstock.calc.quantity import AREAL_WEIGHT, LENGTH, MASS, UnitError, unit_of

WHOLE_LINE = "whole line"


@dataclass(frozen=True)
class Column:
    """One column: its heading in our own files, the unit we write, other headings that are understood."""

    key: str
    heading: str
    also: tuple[str, ...] = ()
    kind: str = ""
    unit: str = ""
    required: bool = False
    about: str = ""

    @property
    def full_heading(self) -> str:
        return f"{self.heading} ({self.unit})" if self.unit else self.heading


COLUMNS: tuple[Column, ...] = (
    Column("code", "code", ("roll code", "label"), about="the seven characters of its label; empty: a new one is made"),
    Column("kind", "kind", about="roll or offcut; empty: roll"),
    Column(
        "material",
        "material",
        ("fabric", "reinforcement", "product", "item", "name", "description"),
        required=True,
        about="its name in the catalogue",
    ),
    Column("form", "form", about="cloth, chopped strand mat, woven roving, stitched multiaxial, …"),
    Column("fibre", "fibre", ("fiber",), about="E-glass, carbon, aramid, …"),
    Column("weave", "weave", about="plain, twill, satin, basket, none"),
    Column(
        "areal_weight",
        "areal weight",
        ("weight", "areal wt", "fabric weight", "gsm"),
        AREAL_WEIGHT,
        "g/m²",
        about="nominal, from the data sheet",
    ),
    Column("layers", "layers", ("strand direction",), about="300 @ 0, 300 @ 90, in g/m²"),
    Column("sold_width", "sold width", ("width as sold", "nominal width"), LENGTH, "mm", about="of a new roll"),
    Column(
        "sold_length",
        "sold length",
        ("length as sold", "roll length", "roll length as sold", "length of a roll as sold"),
        LENGTH,
        "m",
        about="of a new roll",
    ),
    Column("width", "width", ("roll width", "measured width"), LENGTH, "mm", required=True, about="as measured"),
    Column(
        "length",
        "length",
        ("length left", "left", "remaining", "remaining length", "on the roll"),
        LENGTH,
        "m",
        required=True,
        about="what is on the roll now",
    ),
    Column("label_length", "label length", ("length on the label",), LENGTH, "m", about="as printed by the maker"),
    Column("rolls", "rolls", ("count", "number of rolls", "quantity", "qty"), about="how many alike; empty: 1"),
    Column("lot", "lot", ("lot number", "lot no", "batch", "batch number"), about="the maker’s number"),
    Column("supplier", "supplier", ("maker",), about="made when it is new"),
    Column("place", "place", ("location", "rack", "storage place", "shelf"), about="made when it is new"),
    Column("lying", "how it lies", ("lying",), about="held by its core, lying on a shelf, hanging, …"),
    Column("received", "received", ("received on", "date received", "date", "arrived"), about="2026-03-02"),
    Column("price", "price", ("price paid", "cost"), about="paid for the roll"),
    Column("gross", "gross weight", ("gross",), MASS, "kg", about="roll with its tube, when it came"),
    Column("tube", "tube weight", ("tube", "tare", "weight of the tube"), MASS, "kg"),
    Column("condition", "condition", ("state",), about="usable or quarantined; empty: usable"),
    Column("condition_reason", "condition reason", ("reason",), about="why it is quarantined"),
    Column("faults", "faults", ("fault",), about="12.5-12.8 m crease; 30-30.1 m wet, from the free end"),
)
BY_KEY = {column.key: column for column in COLUMNS}

_NAMES = {name: column for column in COLUMNS for name in (column.heading, *column.also)}
_UNIT_NAMES = ("unit", "units", "uom")
_HEADING_LINES = 10  # a title may stand above the headings


@dataclass(frozen=True)
class Problem:
    """What is wrong with one cell and what to do; counted lines as a spreadsheet shows them."""

    line: int
    column: str
    value: str
    what_to_do: str

    def __str__(self) -> str:
        return f"Line {self.line}, {self.column}, “{self.value}”: {self.what_to_do}"


@dataclass(frozen=True)
class Heading:
    """Where a column stands in the file, its own heading there, and the unit that the heading names."""

    column: Column
    place: int
    text: str
    unit: str | None = None


@dataclass
class Headings:
    """What the heading line says: columns by key, unit columns by key, headings that are passed over."""

    by_key: dict[str, Heading] = field(default_factory=dict)
    unit_places: dict[str, int] = field(default_factory=dict)
    ignored: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    width: int = 0


def find_heading_line(rows: Sequence[tuple[int, Sequence[object]]]) -> int:
    """Which of the first rows holds the headings: the first that names two columns or more, else the first of all.

    ``rows`` are (line, cells). Result: index into rows. Worked: a title line, then "Material;Length" → 1.
    """
    for index, (_, cells) in enumerate(rows[:_HEADING_LINES]):
        if sum(_recognised(str(cell or "")) is not None for cell in cells) >= 2:
            return index
    return 0


def read_headings(line: int, cells: Sequence[object]) -> Headings:
    """Recognise the headings of a stock file; what is wrong with them stands in ``problems``.

    Worked: "Width [in]" is the width, in inches; a "unit" right of it is its unit column.
    """
    found = Headings(width=len(cells))
    last_key = ""
    for place, cell in enumerate(cells):
        text = " ".join(str(cell or "").split())
        if not text:
            continue
        if _plain(text) in _UNIT_NAMES and last_key:
            found.unit_places[last_key] = place
            continue
        last_key = _take_heading(found, line, place, text)
    found.problems += [
        Problem(line, column.heading, "", f"There is no column “{column.heading}”. Add it.")
        for column in COLUMNS
        if column.required and column.key not in found.by_key
    ]
    return found


def _take_heading(found: Headings, line: int, place: int, text: str) -> str:
    owner = _unit_column_of(text)
    if owner:
        found.unit_places[owner.key] = place
        return owner.key
    recognised = _recognised(text)
    if recognised is None:
        _note_unknown(found, line, text)
        return ""
    column, unit_text = recognised
    if column.key in found.by_key:
        found.problems.append(
            Problem(
                line, text, text, f"This column is there twice, also as “{found.by_key[column.key].text}”. Keep one."
            )
        )
        return column.key
    unit = None
    if unit_text:
        try:
            unit = _unit_for(column, unit_text)
        except UnitError as error:
            found.problems.append(Problem(line, text, unit_text, str(error)))
    found.by_key[column.key] = Heading(column, place, text, unit)
    return column.key


def _note_unknown(found: Headings, line: int, text: str) -> None:
    near = difflib.get_close_matches(_plain(text), [*_NAMES], n=1, cutoff=0.75)
    if near:
        found.problems.append(
            Problem(
                line,
                text,
                text,
                f"There is no such column. Did you mean “{_NAMES[near[0]].heading}”? Correct the heading.",
            )
        )
    else:
        found.ignored.append(text)


def _unit_for(column: Column, text: str) -> str:
    if not column.kind:
        raise UnitError(f"The column “{column.heading}” has no unit. Take “{text}” out of the heading.")
    unit = unit_of(text)
    if unit.symbol == "oz" and column.kind == AREAL_WEIGHT:
        return "oz"
    if unit.kind != column.kind:
        raise UnitError(f"{unit.symbol} does not measure {column.kind}. Write {column.unit}, for example.")
    return unit.symbol


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[_:.*]+", " ", text).lower().split())


def _unit_column_of(text: str) -> Column | None:
    plain = _plain(text)
    match = re.fullmatch(r"(.+) (?:units?|uom)", plain) or re.fullmatch(r"units? of (.+)", plain)
    return _NAMES.get(match[1]) if match else None


def _recognised(text: str) -> tuple[Column, str] | None:
    """The column of a heading and the unit named in it."""
    if match := re.fullmatch(r"\s*(.*?)\s*[(\[]\s*(.*?)\s*[)\]]\s*", text):
        column = _NAMES.get(_plain(match[1]))
        return (column, match[2]) if column else None
    plain = _plain(text)
    if plain == "gsm":
        return BY_KEY["areal_weight"], "g/m²"
    if plain in _NAMES:
        return _NAMES[plain], ""
    return _with_unit_behind(plain)


def _with_unit_behind(plain: str) -> tuple[Column, str] | None:
    """ "width mm", "length, m", "areal weight in oz/yd²"."""
    for name in sorted(_NAMES, key=len, reverse=True):
        if plain.startswith(name) and (rest := re.fullmatch(r",? (?:in )?(\S+)|, ?(\S+)", plain[len(name) :])):
            unit = rest[1] or rest[2]
            if _NAMES[name].kind and _is_unit(unit):
                return _NAMES[name], unit
    return None


def _is_unit(text: str) -> bool:
    try:
        unit_of(text)
    except UnitError:
        return False
    return True
