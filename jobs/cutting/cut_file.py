"""The cut list of a plan as CSV: a line a blank, and a line for each end that is cut away."""

import csv
import io
from collections.abc import Iterable, Iterator

from shopstock.listing import harmless

from .cut_list import RollPage, Step

COLUMNS = (
    "roll",
    "reinforcement",
    "step",
    "strip",
    "from free end (mm)",
    "length (mm)",
    "blank",
    "along the roll (mm)",
    "across the roll (mm)",
    "from strip start (mm)",
    "from left edge (mm)",
    "turned",
    "why",
)


def cut_file(pages: Iterable[RollPage]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for page in pages:
        for step in page.steps:
            writer.writerows([harmless(cell) for cell in row] for row in _rows(page, step))
    return out.getvalue()


def _rows(page: RollPage, step: Step) -> Iterator[list]:
    place = [step.from_mm, step.length_mm]
    if step.strip is None:
        yield [page.code, page.reinforcement, "cut away", "", *place, "", "", "", "", "", "", step.why]
    for blank in step.blanks:
        size = [blank.along_mm, blank.across_mm, blank.y_mm, blank.x_mm, "yes" if blank.turned else "no"]
        yield [page.code, page.reinforcement, "strip", step.strip.number, *place, blank.name, *size, ""]
    for width_mm, length_mm in step.offcuts:
        size = [length_mm, width_mm, "", "", ""]
        yield [page.code, page.reinforcement, "keep offcut", step.strip.number, *place, "", *size, ""]
