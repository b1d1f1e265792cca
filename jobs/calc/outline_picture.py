"""A small drawing of an outline, or of a line that is none, with the wrong place marked."""

from collections.abc import Sequence
from dataclasses import dataclass

from .outline import Point

SIDE = 400.0
MARGIN = 24.0
MARK = 12.0


@dataclass(frozen=True)
class OutlinePicture:
    """An SVG drawing: its size and points in drawing units, and where the mark stands."""

    width: float
    height: float
    points: str
    mark: Point | None = None


def draw_outline(points: Sequence[Point], place_mm: Point | None = None) -> OutlinePicture:
    """Draw a line of points in mm at one scale, its longer side 400 units long, with a mark at ``place_mm``.

    Raises ValueError for no points. Worked: 800 × 400 mm is drawn 400 × 200 units inside a margin of 24.
    """
    if not points:
        raise ValueError("There is no line to draw.")
    low_x, high_x = min(x for x, _ in points), max(x for x, _ in points)
    low_y, high_y = min(y for _, y in points), max(y for _, y in points)
    scale = SIDE / max(high_x - low_x, high_y - low_y, 1e-6)

    def place(point: Point) -> Point:
        return round(MARGIN + (point[0] - low_x) * scale, 1), round(MARGIN + (point[1] - low_y) * scale, 1)

    drawn = " ".join(f"{x:g},{y:g}" for x, y in map(place, points))
    width, height = (round((high - low) * scale + 2 * MARGIN, 1) for low, high in ((low_x, high_x), (low_y, high_y)))
    return OutlinePicture(width, height, drawn, place(place_mm) if place_mm else None)
