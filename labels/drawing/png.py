"""One label as a picture of black and white dots, one for each dot of the printer."""

from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from labels.calc.label_content import Label
from labels.calc.sheet_geometry import Medium, MediumError, medium_problems
from labels.drawing import pictograms
from labels.drawing.arrow import arrow_points
from labels.drawing.fonts import font_path
from labels.drawing.items import Arrow, Code, Item, Pictogram, Rule, Text
from labels.drawing.layout import lay_out
from labels.drawing.qr_matrix import runs_of

_WHITE, _BLACK = 1, 0
_NARROWER = 0.98


def label_png(label: Label, medium: Medium) -> bytes:
    """Raises MediumError or LabelTooSmallError; each says what to do."""
    problems = medium_problems(medium)
    if problems:
        raise MediumError(" ".join(problems))
    drawing = lay_out(label, medium)
    picture = Image.new("1", (_dots(drawing.width, medium), _dots(drawing.height, medium)), _WHITE)
    pen = ImageDraw.Draw(picture)
    for item in drawing.items:
        _draw(pen, item, medium)
    target = BytesIO()
    picture.save(target, "PNG", dpi=(medium.dpi, medium.dpi), optimize=True)
    return target.getvalue()


def _dots(length_mm: float, medium: Medium) -> int:
    return round(length_mm / medium.dot_mm)


def _draw(pen: ImageDraw.ImageDraw, item: Item, medium: Medium) -> None:
    match item:
        case Text():
            _draw_text(pen, item, medium)
        case Code():
            _draw_code(pen, item, medium)
        case Rule():
            x, y = _dots(item.x, medium), _dots(item.y, medium)
            length, thickness = _dots(item.length, medium), max(1, _dots(item.thickness, medium))
            pen.rectangle((x, y, x + length - 1, y + thickness - 1), fill=_BLACK)
        case Arrow():
            points = [(x / medium.dot_mm, y / medium.dot_mm) for x, y in arrow_points(item)]
            pen.polygon(points, fill=_BLACK)
        case Pictogram():
            _draw_pictogram(pen, item, medium)


def _draw_pictogram(pen: ImageDraw.ImageDraw, item: Pictogram, medium: Medium) -> None:
    inks = {ink: _WHITE if ink == pictograms.WHITE else _BLACK for ink in (pictograms.BLACK, pictograms.WHITE)}
    layers = [(pictograms.FRAME, _BLACK), (pictograms.INSIDE, _WHITE)]
    layers += [(shape.points, inks[shape.ink]) for shape in pictograms.symbol(item.code)]
    for points, ink in layers:
        scale = item.width / 100
        pen.polygon(
            [((item.x + x * scale) / medium.dot_mm, (item.y + y * scale) / medium.dot_mm) for x, y in points], ink
        )


def _draw_text(pen: ImageDraw.ImageDraw, item: Text, medium: Medium) -> None:
    font = _font_within(item, medium)
    pen.text((_dots(item.x, medium), _dots(item.baseline, medium)), item.text, fill=_BLACK, font=font, anchor="ls")


def _font_within(item: Text, medium: Medium) -> ImageFont.FreeTypeFont:
    """Letters rounded to whole dots can run wider than planned; then a little smaller ones are taken."""
    size, room = item.size / medium.dot_mm, item.width / medium.dot_mm
    font = _font(item.font, size)
    while font.getlength(item.text) > room + 0.5:
        size *= _NARROWER
        font = _font(item.font, size)
    return font


@lru_cache(maxsize=256)
def _font(name: str, size: float) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(font_path(name)), size, layout_engine=ImageFont.Layout.BASIC)


def _draw_code(pen: ImageDraw.ImageDraw, code: Code, medium: Medium) -> None:
    x, y, module = _dots(code.x, medium), _dots(code.y, medium), code.module_dots
    for row, column, length in runs_of(code.matrix):
        left, top = x + column * module, y + row * module
        pen.rectangle((left, top, left + length * module - 1, top + module - 1), fill=_BLACK)
