"""Labels as a PDF of exact size, drawn as vectors; the same labels always give the same bytes."""

from collections.abc import Callable, Sequence
from functools import lru_cache
from io import BytesIO
from itertools import islice

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import Medium, Slot, pages
from labels.drawing.arrow import arrow_points
from labels.drawing.items import Arrow, Code, Drawing, Item, Pictogram, Rule, Text
from labels.drawing.layout import lay_out
from labels.drawing.pictograms import BLACK, FRAME, INSIDE, WHITE, symbol
from labels.drawing.qr_matrix import Matrix, runs_of

rl_config.useA85 = 0  # bytes as they are, not spelled out in letters: a fifth smaller and sooner written

_RED, _WHITE, _BLACK = (0.85, 0.0, 0.1), (1.0, 1.0, 1.0), (0.0, 0.0, 0.0)
_INKS = {BLACK: _BLACK, WHITE: _WHITE}


class NoLabelsError(ValueError):
    """A PDF was asked for without labels."""


def labels_pdf(
    labels: Sequence[Label],
    medium: Medium,
    first_free_slot: int = 1,
    progress: Callable[[int], None] | None = None,
) -> bytes:
    """Raises NoLabelsError, MediumError, SlotError or LabelTooSmallError; each says what to do.

    `progress` is told now and then how many labels are drawn.
    """
    if not labels:
        raise NoLabelsError("There are no labels to print. Choose at least one.")
    sheets = pages(medium, len(labels), first_free_slot)
    drawings = (lay_out(label, medium) for label in labels)
    done = 0
    target = BytesIO()
    canvas = _canvas(target, medium, len(labels))
    for sheet in sheets:
        for slot, drawing in zip(sheet, islice(drawings, len(sheet)), strict=True):
            draw_label(canvas, drawing, slot)
        canvas.showPage()
        done += len(sheet)
        if progress:
            progress(done)
    canvas.save()
    return target.getvalue()


def _canvas(target: BytesIO, medium: Medium, count: int) -> Canvas:
    size = (medium.page_w * mm, medium.page_h * mm)
    canvas = Canvas(target, pagesize=size, bottomup=0, invariant=1, pageCompression=1)
    canvas.setTitle(f"{count} label{'' if count == 1 else 's'}: {medium.name}")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def draw_label(canvas: Canvas, drawing: Drawing, slot: Slot) -> None:
    canvas.saveState()
    canvas.translate(slot.x * mm, slot.y * mm)
    _draw_lines(canvas, [item for item in drawing.items if isinstance(item, Text)])
    for item in drawing.items:
        _draw(canvas, item)
    canvas.restoreState()


def _draw_lines(canvas: Canvas, lines: list[Text]) -> None:
    text = canvas.beginText()
    for line in lines:
        text.setFont(line.font, line.size * mm)
        text.setTextOrigin(line.x * mm, line.baseline * mm)
        text.textOut(line.text)
    canvas.drawText(text)


def _draw(canvas: Canvas, item: Item) -> None:
    match item:
        case Code():
            draw_code(canvas, item)
        case Rule():
            canvas.rect(item.x * mm, item.y * mm, item.length * mm, item.thickness * mm, stroke=0, fill=1)
        case Arrow():
            _draw_outline(canvas, arrow_points(item))
        case Pictogram():
            _draw_pictogram(canvas, item)


def draw_code(canvas: Canvas, code: Code) -> None:
    """All runs in one path: drawn one by one they would show hairlines between the rows."""
    canvas.saveState()
    canvas.translate(code.x * mm, code.y * mm)
    canvas.scale(code.module_mm * mm, code.module_mm * mm)
    canvas.drawPath(PDFPathObject(list(_run_boxes(code.matrix))), stroke=0, fill=1)
    canvas.restoreState()


@lru_cache(maxsize=64)
def _run_boxes(matrix: Matrix) -> tuple[str, ...]:
    """The rectangles of a symbol in the language of PDF, in modules; both codes of a label are the same."""
    return tuple(f"{column} {row} {length} 1 re" for row, column, length in runs_of(matrix))


def _draw_pictogram(canvas: Canvas, item: Pictogram) -> None:
    """Red frame, white ground, black symbol; a printer without red gives a black frame."""
    canvas.saveState()
    layers = [(FRAME, _RED), (INSIDE, _WHITE), *((shape.points, _INKS[shape.ink]) for shape in symbol(item.code))]
    for points, ink in layers:
        canvas.setFillColorRGB(*ink)
        _draw_outline(canvas, [(item.x + x * item.width / 100, item.y + y * item.width / 100) for x, y in points])
    canvas.restoreState()


def _draw_outline(canvas: Canvas, points: list[tuple[float, float]]) -> None:
    path = canvas.beginPath()
    path.moveTo(points[0][0] * mm, points[0][1] * mm)
    for x, y in points[1:]:
        path.lineTo(x * mm, y * mm)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)
