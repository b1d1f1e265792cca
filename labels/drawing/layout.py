"""What is drawn where on one label; the PDF and the picture draw the same list."""

from contextlib import suppress

from labels.calc.label_content import Content, Label, content_of
from labels.calc.sheet_geometry import Medium
from labels.drawing import hazards, head, table
from labels.drawing.arrangement import Arrangement, Box, LabelTooSmallError, Needs, arrange
from labels.drawing.facts import fact_items
from labels.drawing.items import Code, Drawing, Item
from labels.drawing.qr_matrix import Matrix, matrix_of

_GAP_MM = 1.0
_LEAST_GAP_MM = 0.4


def lay_out(label: Label, medium: Medium) -> Drawing:
    """Raises LabelTooSmallError when the medium has no room for this kind of label."""
    content = content_of(label)
    if not content.pictograms:
        return Drawing(medium.label_w, medium.label_h, _items(content, medium))
    for band in hazards.bands(content, medium):
        with suppress(LabelTooSmallError):
            items = _items(content, band.above(medium))
            return Drawing(medium.label_w, medium.label_h, (*items, *band.items(medium)))
    raise LabelTooSmallError(hazards.reason(content, medium))


def _items(content: Content, medium: Medium) -> tuple[Item, ...]:
    matrix = matrix_of(content.payload)
    needs = _needs(content)
    plan = arrange(medium, len(matrix), needs)
    lines, bottom = head.head_items(content, _head_box(plan))
    facts = table.best_table(content, _facts_boxes(plan, needs, bottom))
    return (*_codes(plan, matrix), *lines, *fact_items(facts))


def _needs(content: Content) -> Needs:
    return Needs(
        kind=content.kind,
        above_w=head.LEAST_WIDTH_MM,
        above_h=head.LEAST_HEIGHT_MM + _LEAST_GAP_MM,
        below_w=table.LEAST_WIDTH_MM,
        below_h=table.least_height(content, columns=1) + _LEAST_GAP_MM,
        below_wide_w=table.TWO_COLUMNS_FROM_MM,
        below_wide_h=table.least_height(content, columns=2) + _LEAST_GAP_MM,
    )


def _codes(plan: Arrangement, matrix: Matrix) -> list[Code]:
    quiet = plan.quiet_mm
    return [Code(box.x + quiet, box.y + quiet, plan.module_mm, plan.module_dots, matrix) for box in plan.codes]


def _head_box(plan: Arrangement) -> Box:
    """The capitals stand level with the upper edge of the first code, or higher where room is short."""
    bottom = plan.above.bottom - _LEAST_GAP_MM
    top = min(plan.codes[0].y + plan.quiet_mm, bottom - head.LEAST_HEIGHT_MM)
    return Box(plan.above.x, top, plan.above.w, bottom - top)


def _facts_boxes(plan: Arrangement, needs: Needs, head_bottom: float) -> list[Box]:
    """Below the head, beside the second code; on a tall label also above it, where the whole width is free."""
    below, last = plan.below, plan.codes[-1]
    top = min(max(plan.codes[0].bottom, head_bottom + _GAP_MM), below.y)
    spare = below.bottom - top - needs.below_height(below.w) + _LEAST_GAP_MM
    beside = Box(below.x, top, below.w, below.bottom - min(_GAP_MM, spare) - top)
    over = Box(below.x, top, last.right - plan.quiet_mm - below.x, last.y - top)
    return [beside, over] if over.h >= needs.below_h else [beside]
