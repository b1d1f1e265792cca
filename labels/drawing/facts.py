"""The lower text of a label, drawn: captions, values, the warp's arrow and lines to write on."""

from labels.calc.label_content import Direction
from labels.drawing import fonts
from labels.drawing.items import Arrow, Item, Rule, Text
from labels.drawing.table import ARROW_EM, Cell, Table, arrow_width, lines_of

_LOOSEST_LINE = 1.7
_RULE_MM = 0.2


def fact_items(table: Table) -> list[Item]:
    pitch = min(table.box.h / table.lines, table.size * _LOOSEST_LINE)
    items: list[Item] = []
    top = table.box.y
    for row in table.rows:
        for cell in row:
            items += _cell_items(cell, table, top, pitch)
        top += pitch * lines_of(row)
    return items


def _cell_items(cell: Cell, table: Table, top: float, pitch: float) -> list[Item]:
    x, size = table.box.x + cell.x, table.size
    baseline = top + (pitch + (fonts.CAP_HEIGHT - fonts.DESCENT) * size) / 2
    start, end = x + cell.caption_w, x + cell.width
    caption = [Text(x, baseline, size, fonts.REGULAR, cell.fact.caption, cell.caption_w)] if cell.fact.caption else []
    if not cell.fact.value:
        return [*caption, Rule(start, baseline, end - start, _RULE_MM)]
    arrow = [_arrow(cell.fact.arrow, start, baseline, size)] if cell.fact.arrow else []
    start += arrow_width(cell.fact.arrow, size)
    lines = [
        Text(start, baseline + number * pitch, cell.size, cell.font, line, end - start)
        for number, line in enumerate(cell.lines)
    ]
    return [*caption, *arrow, *lines]


def _arrow(direction: Direction, x: float, baseline: float, size: float) -> Arrow:
    """Centred on the height of the capitals beside it."""
    width, height = (part * size for part in ARROW_EM[direction])
    return Arrow(x, baseline - (fonts.CAP_HEIGHT * size + height) / 2, width, height, direction)
