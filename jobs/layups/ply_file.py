"""Plies as CSV: reading a file with every mistake named by line and column, and writing the same columns back."""

import csv
import io
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from jobs.models import Job, Ply
from shopstock.calc.units import UnitError, parse_length_mm
from shopstock.listing import FORMULA_STARTS, harmless
from shopstock.models import Reinforcement

from .forms import LONGEST_MM, MOST_PARTS, MOST_PIECES

COLUMNS = (
    "part",
    "part count",
    "ply",
    "reinforcement",
    "length",
    "width",
    "count",
    "direction",
    "may turn",
    "may seam",
    "overlap",
)
NEEDED = ("part", "ply", "reinforcement", "length", "width")
MOST_LINES = 2_000
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")
DIRECTIONS = {
    "0": Ply.Direction.ALONG,
    "90": Ply.Direction.ACROSS,
    "45": Ply.Direction.BIAS,
    "±45": Ply.Direction.BIAS,
    "+45": Ply.Direction.PLUS,
    "-45": Ply.Direction.MINUS,
    "−45": Ply.Direction.MINUS,
    "+-45": Ply.Direction.BIAS,
    "+/-45": Ply.Direction.BIAS,
    "any": Ply.Direction.ANY,
}


@dataclass(frozen=True)
class PlyLine:
    """One ply of a file, clean."""

    part: str
    part_count: int
    values: Mapping[str, object]


@dataclass(frozen=True)
class Mistake:
    line: int
    column: str
    value: str
    what_to_do: str


class Wrong(ValueError):
    """A cell that cannot be read; the message says what to do."""


def decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("latin-1")


def read_plies(content: bytes, *, taken: Iterable[tuple[str, int]], overlap_mm: int):
    """Clean lines and mistakes; `taken` are (part, ply number) that the job already has."""
    text = decoded(content).replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")
    first = text.split("\n", 1)[0]
    delimiter = max(";\t,", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter))
    except csv.Error:
        return [], [
            Mistake(1, "", "", "This cannot be split into columns. Save the sheet with the plies as CSV again.")
        ]
    headings = [heading.strip().lower() for heading in rows[0]] if rows else []
    mistakes = _heading_mistakes(headings)
    if mistakes:
        return [], mistakes
    if len(rows) > MOST_LINES + 1:
        return [], [Mistake(MOST_LINES + 2, "", "", f"More than {MOST_LINES} plies: split the file.")]
    reader = _Reader(headings, set(taken), overlap_mm)
    for number, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row):
            reader.read(number, row)
    if not reader.lines and not reader.mistakes:
        return [], [Mistake(2, "", "", "There are no plies below the headings.")]
    return reader.lines, reader.mistakes


def _heading_mistakes(headings: list[str]) -> list[Mistake]:
    missing = [name for name in NEEDED if name not in headings]
    unknown = [name for name in headings if name and name not in COLUMNS]
    twice = sorted({name for name in headings if name and headings.count(name) > 1})
    found = [Mistake(1, name, "", "Add this heading and its column.") for name in missing]
    found += [Mistake(1, name, name, f"Not a heading known here. Use: {', '.join(COLUMNS)}.") for name in unknown]
    found += [Mistake(1, name, name, "This heading stands twice: take one out.") for name in twice]
    return found


class _Reader:
    """Reads row by row and remembers what the file has said so far."""

    def __init__(self, headings: list[str], taken: set[tuple[str, int]], overlap_mm: int):
        self.headings = headings
        self.taken = taken
        self.overlap_mm = overlap_mm
        self.known = {kind.name.casefold(): kind for kind in Reinforcement.objects.filter(active=True)}
        self.part_counts: dict[str, int] = {}
        self.lines: list[PlyLine] = []
        self.mistakes: list[Mistake] = []

    def read(self, number: int, row: list[str]) -> None:
        cells = dict(zip(self.headings, [without_guard(cell.strip()) for cell in row], strict=False))
        before = len(self.mistakes)

        def cell(column: str, read: Callable, default=None):
            text = cells.get(column, "")
            if not text and default is not None:
                return default
            try:
                return read(text)
            except (Wrong, UnitError) as error:
                self.mistakes.append(Mistake(number, column, text, str(error)))
                return None

        part = cell("part", _part_name)
        values = {
            "number": cell("ply", _whole(999)),
            "reinforcement": cell("reinforcement", self._reinforcement),
            "length_mm": cell("length", _length),
            "width_mm": cell("width", _length),
            "count": cell("count", _whole(MOST_PIECES), 1),
            "direction": cell("direction", _direction, Ply.Direction.ALONG),
            "may_turn": cell("may turn", _yes_or_no, "yes") in ("yes", True),
            "may_seam": cell("may seam", _yes_or_no, "yes") in ("yes", True),
            "overlap_mm": cell("overlap", _overlap, self.overlap_mm),
        }
        part_count = cell("part count", _whole(MOST_PARTS), self.part_counts.get(part, 1))
        if len(self.mistakes) == before:
            self._keep(number, part, part_count, values, cells)

    def _keep(self, number: int, part: str, part_count: int, values: dict, cells: dict) -> None:
        if self.part_counts.setdefault(part, part_count) != part_count:
            told = f"{part} is made {self.part_counts[part]} times in a line above. Use one count for a part."
            self.mistakes.append(Mistake(number, "part count", cells.get("part count", ""), told))
        elif (part, values["number"]) in self.taken:
            told = f"{part} already has a ply {values['number']}. Give this one another number, or leave it out."
            self.mistakes.append(Mistake(number, "ply", cells.get("ply", ""), told))
        else:
            self.taken.add((part, values["number"]))
            self.lines.append(PlyLine(part, part_count, values))

    def _reinforcement(self, text: str) -> Reinforcement:
        if text.casefold() not in self.known:
            raise Wrong("No reinforcement in use has this name. Write it as in the catalogue, or add it there first.")
        return self.known[text.casefold()]


def without_guard(text: str) -> str:
    """Take off the mark that an export puts before what a spreadsheet could run."""
    return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA_STARTS) else text


def _part_name(text: str) -> str:
    if not text or len(text) > 60:
        raise Wrong("Write the part's name, 60 letters at most.")
    return text


def _whole(most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not (text.isascii() and text.isdigit()) or not 1 <= int(text) <= most:
            raise Wrong(f"Write a whole number from 1 to {most}.")
        return int(text)

    return read


def _length(text: str) -> int:
    length_mm = parse_length_mm(text)
    if not 1 <= length_mm <= LONGEST_MM:
        raise Wrong("Write a length from 1 mm to 200 m, with its unit.")
    return length_mm


def _overlap(text: str) -> int:
    return parse_length_mm(text)


def _direction(text: str) -> str:
    key = text.lower().removesuffix("°").replace(" ", "")
    if key not in DIRECTIONS:
        raise Wrong("Write 0, 90, 45, +45, -45 or any.")
    return DIRECTIONS[key]


def _yes_or_no(text: str) -> bool:
    if text.lower() not in YES + NO:
        raise Wrong("Write yes or no.")
    return text.lower() in YES


def written(job: Job) -> str:
    """The plies of a job whose lay-up is loaded, as the file that reads back the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for part in job.parts.all():
        for ply in part.plies.all():
            writer.writerow([harmless(cell) for cell in _row(part, ply)])
    return out.getvalue()


def _row(part, ply: Ply) -> list[str]:
    return [
        part.name,
        str(part.count),
        str(ply.number),
        ply.reinforcement.name,
        f"{ply.length_mm} mm",
        f"{ply.width_mm} mm",
        str(ply.count),
        ply.direction,
        "yes" if ply.may_turn else "no",
        "yes" if ply.may_seam else "no",
        f"{ply.overlap_mm} mm",
    ]
