"""A page that shows where a printer really prints: rulers, the labels' outlines, and crosses to measure from."""

from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from labels.calc.sheet_geometry import Medium, slots
from labels.drawing import fonts
from labels.drawing.arrangement import Box

_TICK_MM, _HALF_CM_MM, _CM_MM = 1.5, 2.5, 4.0
_THIN, _CROSS_MM = 0.15, 4.0
_LONGEST_RULER_MM = 150.0
_LEAST_ROOM_MM = 30.0


def trial_page_pdf(medium: Medium) -> bytes:
    """Raises MediumError for measures that do not go together."""
    target = BytesIO()
    size = (medium.page_w * mm, medium.page_h * mm)
    canvas = Canvas(target, pagesize=size, bottomup=0, invariant=1)
    canvas.setTitle(f"Trial page: {medium.name}")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setLineWidth(_THIN * mm)
    _draw_outlines(canvas, medium)
    _draw_rulers(canvas, medium)
    _draw_words(canvas, medium)
    canvas.showPage()
    canvas.save()
    return target.getvalue()


def cross_of(medium: Medium) -> tuple[float, float]:
    """Where the cross is meant to be, in mm from the left and top edge of the page: the middle of the first label."""
    first = slots(medium)[0]
    return first.x - medium.offset_x + medium.label_w / 2, first.y - medium.offset_y + medium.label_h / 2


def ruler_of(medium: Medium) -> float:
    """How long the rulers are, in whole cm that fit the page."""
    room = min(medium.page_w, medium.page_h) - 2 * _CM_MM - 4
    return max(10.0, min(_LONGEST_RULER_MM, room // 10 * 10))


def _draw_outlines(canvas: Canvas, medium: Medium) -> None:
    canvas.setDash(1, 2)
    for slot in slots(medium):
        canvas.rect(slot.x * mm, slot.y * mm, medium.label_w * mm, medium.label_h * mm)
    canvas.setDash()
    x, y = cross_of(medium)
    x, y = x + medium.offset_x, y + medium.offset_y
    canvas.line((x - _CROSS_MM) * mm, y * mm, (x + _CROSS_MM) * mm, y * mm)
    canvas.line(x * mm, (y - _CROSS_MM) * mm, x * mm, (y + _CROSS_MM) * mm)


def _ruler_corner(medium: Medium) -> tuple[float, float]:
    length = ruler_of(medium)
    return (medium.page_w - length) / 2, (medium.page_h - length) / 2


def _draw_rulers(canvas: Canvas, medium: Medium) -> None:
    left, top = _ruler_corner(medium)
    length = ruler_of(medium)
    canvas.line(left * mm, top * mm, (left + length) * mm, top * mm)
    canvas.line(left * mm, top * mm, left * mm, (top + length) * mm)
    for position in range(int(length) + 1):
        tick = (_CM_MM if position % 10 == 0 else _HALF_CM_MM if position % 5 == 0 else _TICK_MM) * mm
        canvas.line((left + position) * mm, top * mm, (left + position) * mm, top * mm + tick)
        canvas.line(left * mm, (top + position) * mm, left * mm + tick, (top + position) * mm)


def _draw_words(canvas: Canvas, medium: Medium) -> None:
    left, top = _ruler_corner(medium)
    length = ruler_of(medium)
    box = Box(left + 8, top + 8, length - 10, length - 10)
    size = min(3.2, box.w / 26)
    if box.w < _LEAST_ROOM_MM:
        size = box.w / 18
    x, y = cross_of(medium)
    words = [
        f"{medium.name}. Each ruler is {length:g} mm long.",
        f"The cross of the first label: {x:.1f} mm from the left edge, {y:.1f} mm from the top edge.",
        "Print at 100 %. Measure, and enter what you find.",
    ]
    fonts.width_em("", fonts.REGULAR)
    canvas.setFont(fonts.REGULAR, size * mm)
    baseline = box.y + size
    for sentence in words:
        for line in fonts.wrapped(sentence, fonts.REGULAR, box.w / size):
            canvas.drawString(box.x * mm, baseline * mm, line)
            baseline += 1.3 * size
        baseline += 0.5 * size
