"""A stock file read as a whole: what each line says, and everything that is wrong, before anything is stored."""

import datetime
import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from shopstock.calc.stock_cells import Cell
from shopstock.calc.stock_columns import WHOLE_LINE, Headings, Problem
from shopstock.calc.stock_line import Line, Material, StockRow, Words

MOST_ROLLS = 50_000


@dataclass
class StockReading:
    """What a stock file says: rows that are right, fabrics it defines, and all that is wrong."""

    rows: list[StockRow] = field(default_factory=list)
    new_materials: dict[str, Material] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def read_stock_rows(
    headings: Headings,
    lines: Sequence[tuple[int, Sequence[Cell]]],
    *,
    catalogue: Mapping[str, Material],
    words: Words,
    on: datetime.date,
    progress: Callable[[int, int], None] | None = None,
) -> StockReading:
    """Read every line of a stock file; nothing is left out silently.

    ``lines`` are (line number, cells); ``catalogue`` holds the known fabrics by ``material_key``; ``on`` is the day
    after which nothing can have arrived. Raises nothing: what is wrong stands in ``problems``. Worked: a line "Mat 450;
    1250 mm; 50 m" of a known fabric → one row of 1250 × 50 000 mm.
    """
    reading = StockReading(problems=list(headings.problems))
    if headings.problems:
        return reading
    readers = [Line(headings, line, cells, words, on) for line, cells in lines]
    forms = {key: material.form for key, material in catalogue.items()}
    forms |= {
        key: form for line in readers if (key := line.material_key) and (form := line.form_given()) and key not in forms
    }
    for done, line in enumerate(readers, start=1):
        _take_line(reading, line, catalogue, forms.get(line.material_key))
        if progress and (done % 2000 == 0 or done == len(readers)):
            progress(done, len(readers))
    _refuse_unknown_materials(reading, readers, catalogue)
    _refuse_repeats(reading)
    _refuse_too_many(reading)
    reading.problems.sort(key=lambda problem: problem.line)
    return reading


def _take_line(reading: StockReading, line: "Line", catalogue: Mapping[str, Material], form: str | None) -> None:
    row = line.row()
    line.check_material(catalogue, reading.new_materials, form)
    reading.problems += line.problems
    if row is not None and not line.problems:
        reading.rows.append(row)


def _refuse_unknown_materials(reading: StockReading, lines: Sequence[Line], catalogue: Mapping[str, Material]) -> None:
    """A fabric whose only definition is itself wrong is not reported a second time at every other line."""
    wrong = {problem.line for problem in reading.problems}
    known = {**catalogue, **reading.new_materials}
    meant = {line.material_key for line in lines if line.defines_a_material and line.line in wrong}
    for line in lines:
        if line.material_key and line.material_key not in known and line.material_key not in meant:
            reading.problems.append(
                Problem(line.line, "material", line.text("material"), _unknown_material(line.material_key, known))
            )
    unknown = {problem.line for problem in reading.problems}
    reading.rows = [row for row in reading.rows if row.line not in unknown]


def _unknown_material(key: str, known: Mapping[str, Material]) -> str:
    near = difflib.get_close_matches(key, known, n=2, cutoff=0.6)
    hint = f" Did you mean {' or '.join(f'“{known[name].name}”' for name in near)}?" if near else ""
    return (
        f"Not in the catalogue.{hint} Correct the name, or fill in form, fibre, areal weight and sold length in this "
        "line to have it made."
    )


def _refuse_repeats(reading: StockReading) -> None:
    by_code: dict[str, int] = {}
    by_content: dict[str, int] = {}
    for row in reading.rows:
        if row.code and row.code in by_code:
            reading.problems.append(
                Problem(
                    row.line, "code", row.code, f"Line {by_code[row.code]} has this code already. Correct one of them."
                )
            )
        content = row.fingerprint()
        if not row.code and content in by_content:
            reading.problems.append(
                Problem(
                    row.line,
                    WHOLE_LINE,
                    row.material,
                    f"The same as line {by_content[content]}. Delete it, or if there are several alike rolls, write "
                    "how many in a column “rolls” of one line.",
                )
            )
        by_code.setdefault(row.code, row.line)
        by_content.setdefault(content, row.line)


def _refuse_too_many(reading: StockReading) -> None:
    total = sum(row.rolls for row in reading.rows)
    if total > MOST_ROLLS:
        reading.problems.append(
            Problem(reading.rows[0].line, "rolls", str(total), f"More than {MOST_ROLLS} rolls at once. Split the file.")
        )
