"""Labels as a PDF of exact size, drawn as vectors; the same labels always give the same bytes."""

from collections.abc import Sequence
from io import BytesIO
from itertools import islice

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import Medium, Slot, pages
from labels.drawing.arrow import arrow_points
from labels.drawing.items import Arrow, Code, Drawing, Item, Rule, Text
from labels.drawing.layout import lay_out
from labels.drawing.qr_matrix import runs_of


class NoLabelsError(ValueError):
    """A PDF was asked for without labels."""


def labels_pdf(labels: Sequence[Label], medium: Medium, first_free_slot: int = 1) -> bytes:
    """Raises NoLabelsError, MediumError, SlotError or LabelTooSmallError; each says what to do."""
    if not labels:
        raise NoLabelsError("There are no labels to print. Choose at least one.")
    sheets = pages(medium, len(labels), first_free_slot)
    drawings = iter([lay_out(label, medium) for label in labels])
    target = BytesIO()
    canvas = _canvas(target, medium, len(labels))
    for sheet in sheets:
        for slot, drawing in zip(sheet, islice(drawings, len(sheet)), strict=True):
            _draw_label(canvas, drawing, slot)
        canvas.showPage()
    canvas.save()
    return target.getvalue()


def _canvas(target: BytesIO, medium: Medium, count: int) -> Canvas:
    size = (medium.page_w * mm, medium.page_h * mm)
    canvas = Canvas(target, pagesize=size, bottomup=0, invariant=1, pageCompression=1)
    canvas.setTitle(f"{count} label{'' if count == 1 else 's'}: {medium.name}")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def _draw_label(canvas: Canvas, drawing: Drawing, slot: Slot) -> None:
    canvas.saveState()
    canvas.translate(slot.x * mm, slot.y * mm)
    for item in drawing.items:
        _draw(canvas, item)
    canvas.restoreState()


def _draw(canvas: Canvas, item: Item) -> None:
    match item:
        case Text():
            canvas.setFont(item.font, item.size * mm)
            canvas.drawString(item.x * mm, item.baseline * mm, item.text)
        case Code():
            _draw_code(canvas, item)
        case Rule():
            canvas.rect(item.x * mm, item.y * mm, item.length * mm, item.thickness * mm, stroke=0, fill=1)
        case Arrow():
            _draw_outline(canvas, arrow_points(item))


def _draw_code(canvas: Canvas, code: Code) -> None:
    """All runs in one path: drawn one by one they would show hairlines between the rows."""
    module = code.module_mm * mm
    path = canvas.beginPath()
    for row, column, length in runs_of(code.matrix):
        path.rect(code.x * mm + column * module, code.y * mm + row * module, length * module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_outline(canvas: Canvas, points: list[tuple[float, float]]) -> None:
    path = canvas.beginPath()
    path.moveTo(points[0][0] * mm, points[0][1] * mm)
    for x, y in points[1:]:
        path.lineTo(x * mm, y * mm)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)
