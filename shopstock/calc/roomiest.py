"""Where the words of an outline stand on a drawing: on the piece, not in its hollow."""

from collections.abc import Sequence
from math import hypot, inf

Corner = tuple[float, float]
GRID = 10  # places tried along and across


def points_text(corners: Sequence[Corner]) -> str:
    """Corners as an SVG polygon has them."""
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)


def roomiest(corners: Sequence[Corner]) -> tuple[Corner | None, float]:
    """A place inside an outline far from its line, so that words stand on the piece, and how far from it.

    Corners and result in drawing units; None and 0 for no corners. Worked: of a square of 10 its middle, (5, 5), and 5.
    """
    if not corners:
        return None, 0.0
    low_x, high_x = min(x for x, _ in corners), max(x for x, _ in corners)
    low_y, high_y = min(y for _, y in corners), max(y for _, y in corners)
    steps = range(1, GRID)
    places = [(low_x + (high_x - low_x) * i / GRID, low_y + (high_y - low_y) * j / GRID) for i in steps for j in steps]
    room, place = max(((_room(place, corners), place) for place in places), key=lambda found: found[0])
    return (round(place[0], 1), round(place[1], 1)), max(0.0, room)


def _room(place: Corner, corners: Sequence[Corner]) -> float:
    """Distance to the nearest side, below zero outside."""
    x, y = place
    nearest, inside = inf, False
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
        long = (bx - ax) ** 2 + (by - ay) ** 2
        share = min(1.0, max(0.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long)) if long else 0.0
        nearest = min(nearest, hypot(x - ax - share * (bx - ax), y - ay - share * (by - ay)))
    return nearest if inside else -nearest
