"""The captioned facts of a label set in one or two columns, as large as the room allows; the note comes last."""

from dataclasses import dataclass

from labels.calc.label_content import ACROSS, ALONG, Content, Direction, Fact
from labels.drawing import fonts
from labels.drawing.arrangement import Box
from labels.drawing.sizes import LEAST_TEXT_MM, sizes_down

TWO_COLUMNS_FROM_MM = 60.0
LEAST_WIDTH_MM = 36.0
ARROW_EM = {ALONG: (2.6, 0.75), ACROSS: (0.85, 1.15)}
CAPTION_GAP_EM = 0.6
_TIGHTEST_LINE, _LINE = 1.18, 1.3
_COLUMN_GAP_EM = 1.0
_COLUMN_EM = 19.0
_LARGEST_MM = 6.0
_SHRUNK = 0.85
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Cell:
    """x and widths in mm, x from the table's left; whole is false where the value lost its end."""

    fact: Fact
    x: float
    width: float
    caption_w: float
    lines: tuple[str, ...]
    size: float
    font: str
    whole: bool


@dataclass(frozen=True)
class Table:
    """Rows of cells in one size of type, in mm; a value may be set a little smaller to stay on its line."""

    box: Box
    size: float
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def lines(self) -> int:
        return sum(lines_of(row) for row in self.rows)

    @property
    def whole(self) -> bool:
        return all(cell.whole for row in self.rows for cell in row)

    def fits(self, line: float) -> bool:
        return self.lines * self.size * line <= self.box.h + _ROUNDING


@dataclass(frozen=True)
class _Column:
    facts: tuple[Fact, ...]
    x: float
    width: float
    caption_w: float


def least_height(content: Content, columns: int) -> float:
    return _row_count(content, columns) * LEAST_TEXT_MM * _TIGHTEST_LINE


def best_table(content: Content, boxes: list[Box]) -> Table:
    """The one with the largest type, of those that show every value whole if there are any."""
    tables = [_table(content, box, columns) for box in boxes for columns in (1, 2) if columns == 1 or _is_wide(box.w)]
    fitting = [table for table in tables if table.fits(_TIGHTEST_LINE)]
    return max(fitting, key=lambda table: (table.whole, table.size))


def arrow_width(arrow: Direction | None, size: float) -> float:
    return (ARROW_EM[arrow][0] + CAPTION_GAP_EM) * size if arrow else 0.0


def lines_of(row: tuple[Cell, ...]) -> int:
    return max(len(cell.lines) for cell in row)


def _is_wide(width: float) -> bool:
    return width >= TWO_COLUMNS_FROM_MM


def _row_count(content: Content, columns: int) -> int:
    in_columns, alone = _split(content, columns)
    return -(-len(in_columns) // columns) + len(alone)


def _split(content: Content, columns: int) -> tuple[list[Fact], list[Fact]]:
    """Facts that stand in columns, and those that take the whole width, the note among them."""
    alone = [fact for fact in content.facts if fact.wide and columns > 1]
    in_columns = [fact for fact in content.facts if fact not in alone]
    return in_columns, [*alone, *([Fact("", content.note)] if content.note else [])]


def _table(content: Content, box: Box, columns: int) -> Table:
    rows = _row_count(content, columns)
    largest = min(box.h / (rows * _LINE), box.w / columns / _COLUMN_EM, _LARGEST_MM)
    for size in sizes_down(largest):
        table = _table_at(content, box, columns, size, most_lines=2)
        if table.whole and table.fits(_LINE):
            return table
    two_lines = _table_at(content, box, columns, LEAST_TEXT_MM, most_lines=2)
    return two_lines if two_lines.fits(_LINE) else _table_at(content, box, columns, LEAST_TEXT_MM, most_lines=1)


def _table_at(content: Content, box: Box, columns: int, size: float, most_lines: int) -> Table:
    in_columns, alone = _split(content, columns)
    height = -(-len(in_columns) // columns)
    set_columns = _columns(in_columns, height, box.w, size)
    rows = [
        tuple(_cell(column.facts[row], column, size, most_lines) for column in set_columns if row < len(column.facts))
        for row in range(height)
    ]
    full = [_Column((fact,), 0.0, box.w, _caption_width((fact,), size)) for fact in alone]
    return Table(box, size, (*rows, *((_cell(column.facts[0], column, size, most_lines),) for column in full)))


def _columns(facts: list[Fact], height: int, width: float, size: float) -> list[_Column]:
    parts = [tuple(facts[start : start + height]) for start in range(0, len(facts), height)]
    gap = _COLUMN_GAP_EM * size
    widths = _shared_out([_wanted_width(part, size) for part in parts], width - (len(parts) - 1) * gap)
    columns, x = [], 0.0
    for part, column_w in zip(parts, widths, strict=True):
        columns.append(_Column(part, x, column_w, _caption_width(part, size)))
        x += column_w + gap
    return columns


def _shared_out(wanted: list[float], room: float) -> list[float]:
    """Even shares, unless some want less than theirs and others more."""
    even = room / len(wanted)
    over = [max(0.0, want - even) for want in wanted]
    if not any(over):
        return [even] * len(wanted)
    kept = [min(want, even) for want in wanted]
    spare = room - sum(kept)
    return [keep + spare * more / sum(over) for keep, more in zip(kept, over, strict=True)]


def _wanted_width(facts: tuple[Fact, ...], size: float) -> float:
    values = (
        fonts.width_em(fonts.printable(f.value), fonts.REGULAR) * size + arrow_width(f.arrow, size) for f in facts
    )
    return _caption_width(facts, size) + max(values)


def _caption_width(facts: tuple[Fact, ...], size: float) -> float:
    widest = max(fonts.width_em(fact.caption, fonts.REGULAR) for fact in facts)
    return (widest + CAPTION_GAP_EM) * size if widest else 0.0


def _cell(fact: Fact, column: _Column, size: float, most_lines: int) -> Cell:
    font = fonts.REGULAR if fact.caption else fonts.BOLD
    room = column.width - column.caption_w - arrow_width(fact.arrow, size)
    lines, line_size, whole = _value_lines(fonts.printable(fact.value), font, room, size, most_lines)
    return Cell(fact, column.x, column.width, column.caption_w, tuple(lines), line_size, font, whole)


def _value_lines(text: str, font: str, room: float, size: float, most_lines: int) -> tuple[list[str], float, bool]:
    """On one line if a little smaller type will do, else on as many as are allowed; then the end is left off."""
    taken = fonts.width_em(text, font)
    shrunk = max(LEAST_TEXT_MM, min(size, room / taken if taken else size))
    if shrunk >= _SHRUNK * size and shrunk * taken <= room + _ROUNDING:
        return [text], shrunk, True
    lines = fonts.wrapped(text, font, room / size)
    return fonts.first_lines(lines, most_lines, font, room / size), size, len(lines) <= most_lines
