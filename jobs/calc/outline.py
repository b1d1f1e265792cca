"""Outlines of plies: a closed line in mm, checked before it is planned, and the rectangle around it."""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from math import hypot

Point = tuple[float, float]
Corners = tuple[tuple[int, int], ...]

SHORTEST_SIDE_MM = 20
LONGEST_SIDE_MM = 200_000
CLOSED_WITHIN_MM = 0.5
SMOOTH_WITHIN_MM = 0.3
LEAST_AREA_MM2 = 400
MOST_CORNERS = 2_000


class OutlineError(ValueError):
    """A line that is no outline: the message says what to do, place_mm where it is wrong, points what was given."""

    def __init__(self, message: str, *, place_mm: Point | None = None, points: Sequence[Point] = ()):
        super().__init__(message)
        self.place_mm, self.points = place_mm, tuple(points)


def can_read_outlines() -> bool:
    """Whether the packages for outlines are installed; they are an extra, since few shops cut from drawings."""
    return all(find_spec(name) for name in ("shapely", "svgelements", "ezdxf", "spyrrow"))


@dataclass(frozen=True)
class Outline:
    """Corners in whole mm from the corner of the rectangle around them: along the ply's 0° line, and across it."""

    corners: Corners
    length_mm: int
    width_mm: int
    area_mm2: int


def checked(points: Sequence[Point]) -> Outline:
    """The outline of a line of points in mm whose last point is its first again.

    Raises OutlineError for a line that is open, crosses itself, is too small or too large to be a ply in mm, or has too
    many corners. Source: geometry. Worked: (0,0) (300,0) (0,200) (0,0) → 300 × 200 mm, 30 000 mm².
    """
    from shapely.geometry import Polygon  # an extra of the installation, needed for outlines only

    points = [(float(x), float(y)) for x, y in points]
    if len(points) < 3:
        raise OutlineError("An outline has three corners or more, and ends where it began.", points=points)
    _require_closed(points)
    if len(points) < 4:
        raise OutlineError("An outline has three corners or more.", points=points)
    _require_size(points)
    polygon = Polygon(points)
    _require_simple(polygon, points)
    corners = _whole(polygon, points)
    along, across = [x for x, _ in corners], [y for _, y in corners]
    return Outline(corners, max(along), max(across), area_mm2(corners))


def _require_closed(points: Sequence[Point]) -> None:
    (first_x, first_y), (last_x, last_y) = points[0], points[-1]
    gap_mm = hypot(first_x - last_x, first_y - last_y)
    if gap_mm > CLOSED_WITHIN_MM:
        raise OutlineError(
            f"The line is open: its end lies {gap_mm:.1f} mm from its start. Close it and try again.",
            place_mm=points[-1],
            points=points,
        )


def _require_size(points: Sequence[Point]) -> None:
    sides = [max(values) - min(values) for values in zip(*points, strict=True)]
    if min(sides) < SHORTEST_SIDE_MM:
        raise OutlineError(
            f"The outline is only {sides[0]:g} × {sides[1]:g} mm. Is it drawn in metres or inches? Save it in "
            "millimetres.",
            place_mm=points[0],
            points=points,
        )
    if max(sides) > LONGEST_SIDE_MM:
        raise OutlineError(
            f"The outline is {max(sides) / 1000:g} m long. Is it drawn in a smaller unit? Save it in millimetres.",
            place_mm=points[0],
            points=points,
        )


def _require_simple(polygon, points: Sequence[Point]) -> None:
    from shapely.validation import explain_validity

    if polygon.is_valid and polygon.area >= LEAST_AREA_MM2:
        return
    if polygon.is_valid:
        raise OutlineError("The outline holds next to no area. Draw the ply itself.", points=points)
    words = explain_validity(polygon)
    place_mm = points[0]
    if "[" in words:
        x, y = words.split("[")[1].rstrip("]").split()
        place_mm = (float(x), float(y))
    raise OutlineError(
        f"The line crosses or touches itself at {place_mm[0]:.0f}, {place_mm[1]:.0f} mm. Draw it around the ply once.",
        place_mm=place_mm,
        points=points,
    )


def _whole(polygon, points: Sequence[Point]) -> Corners:
    """Whole mm from the corner of the rectangle around it, in one sense of turning, without points on a line."""
    from shapely.geometry import Polygon

    smooth = polygon.simplify(SMOOTH_WITHIN_MM)
    low_x, low_y = smooth.bounds[:2]
    ring = list(smooth.exterior.coords)[:-1]
    if smooth.exterior.is_ccw:
        ring.reverse()
    corners = tuple(dict.fromkeys((round(x - low_x), round(y - low_y)) for x, y in ring))
    if len(corners) > MOST_CORNERS:
        raise OutlineError(f"The outline has {len(corners)} corners, more than {MOST_CORNERS}. Draw it more simply.")
    if len(corners) < 3 or not Polygon(corners).is_valid:
        raise OutlineError("The outline has a part thinner than 1 mm. Draw it without.", points=points)
    return corners


def quarter_turned(corners: Corners, across_mm: int) -> Corners:
    """The same outline turned by 90° in its plane; across_mm is the width it had, which becomes its length.

    Worked: (0,0) (300,0) (0,200) of width 200 → (200,0) (200,300) (0,0).
    """
    return tuple((across_mm - y, x) for x, y in corners)


def area_mm2(corners: Corners) -> int:
    """The area inside, in mm². Worked: (0,0) (300,0) (0,200) → 30 000."""
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return abs(sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in pairs)) // 2
