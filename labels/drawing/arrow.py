"""The outline of a double-headed arrow."""

from labels.calc.label_content import ALONG
from labels.drawing.items import Arrow

Point = tuple[float, float]

_HEAD_TO_WIDTH = 0.9
_SHAFT_TO_WIDTH = 0.22


def arrow_points(arrow: Arrow) -> list[Point]:
    """The corners in mm from the label's upper left."""
    along = arrow.direction == ALONG
    length, width = (arrow.w, arrow.h) if along else (arrow.h, arrow.w)
    points = _lying(length, width)
    return [(arrow.x + a, arrow.y + b) if along else (arrow.x + b, arrow.y + a) for a, b in points]


def _lying(length: float, width: float) -> list[Point]:
    tip = min(_HEAD_TO_WIDTH * width, length * 0.45)
    middle, half = width / 2, _SHAFT_TO_WIDTH * width / 2
    upper = [(0, middle), (tip, 0), (tip, middle - half), (length - tip, middle - half), (length - tip, 0)]
    lower = [(a, width - b) for a, b in reversed(upper[1:])]
    return [*upper, (length, middle), *lower]
