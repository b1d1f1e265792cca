"""The nine pictograms of hazardous chemicals as outlines: a red diamond on white, a black symbol in it.

Own drawings of what the rules describe. Each shape is a closed outline in a square from 0 to 100, y downwards, whose
diamond touches the middles of its sides; white shapes cut out what lies under them.
"""

from dataclasses import dataclass
from math import cos, pi, sin

Point = tuple[float, float]

BLACK, WHITE = "black", "white"


@dataclass(frozen=True)
class Shape:
    points: tuple[Point, ...]
    ink: str = BLACK


NAMES = {
    "GHS01": "explosive",
    "GHS02": "flammable",
    "GHS03": "oxidising",
    "GHS04": "gas under pressure",
    "GHS05": "corrosive",
    "GHS06": "toxic",
    "GHS07": "harmful",
    "GHS08": "health hazard",
    "GHS09": "harms the environment",
}
FRAME = ((50.0, 0.0), (100.0, 50.0), (50.0, 100.0), (0.0, 50.0))
_REACH = 40.0  # from the middle, sideways and up together; the frame begins at 43
INSIDE = ((50.0, 7.0), (93.0, 50.0), (50.0, 93.0), (7.0, 50.0))


def symbol(code: str) -> tuple[Shape, ...]:
    """The symbol inside the diamond of a pictogram, clear of its frame; raises KeyError for none of the nine."""
    shapes = _SYMBOLS[code]
    reach = max(abs(x - 50) + abs(y - 50) for shape in shapes for x, y in shape.points)
    scale = min(1.0, _REACH / reach)
    return tuple(
        Shape(tuple((50 + (x - 50) * scale, 50 + (y - 50) * scale) for x, y in shape.points), shape.ink)
        for shape in shapes
    )


def _disc(x: float, y: float, across: float, down: float | None = None, ink: str = BLACK) -> Shape:
    down = across if down is None else down
    angles = [2 * pi * step / 28 for step in range(28)]
    return Shape(tuple((x + across * cos(angle), y + down * sin(angle)) for angle in angles), ink)


def _box(left: float, top: float, right: float, bottom: float, ink: str = BLACK) -> Shape:
    return Shape(((left, top), (right, top), (right, bottom), (left, bottom)), ink)


def _line(start: Point, end: Point, width: float, ink: str = BLACK) -> Shape:
    (a, b), (c, d) = start, end
    length = ((c - a) ** 2 + (d - b) ** 2) ** 0.5
    x, y = (b - d) / length * width / 2, (c - a) / length * width / 2
    return Shape(((a + x, b + y), (c + x, d + y), (c - x, d - y), (a - x, b - y)), ink)


def _shape(*points: Point, ink: str = BLACK) -> Shape:
    return Shape(points, ink)


def _star(x: float, y: float, rays: int, outer: float, inner: float) -> Shape:
    angles = [pi * step / rays - pi / 2 for step in range(2 * rays)]
    radii = [outer if step % 2 == 0 else inner for step in range(2 * rays)]
    return Shape(tuple((x + r * cos(a), y + r * sin(a)) for a, r in zip(angles, radii, strict=True)))


def _flame(x: float, base: float, width: float, height: float) -> tuple[Shape, ...]:
    """A flame standing on its base, with a lighter tongue inside."""

    def at(points: tuple[Point, ...], ink: str = BLACK) -> Shape:
        return Shape(tuple((x + a * width, base - b * height) for a, b in points), ink)

    outer = (
        (-0.28, 0.0), (-0.46, 0.2), (-0.48, 0.42), (-0.34, 0.64), (-0.3, 0.5), (-0.22, 0.42), (-0.2, 0.66),
        (-0.04, 0.86), (0.02, 1.0), (0.14, 0.82), (0.16, 0.62), (0.26, 0.74), (0.3, 0.56), (0.4, 0.62),
        (0.47, 0.4), (0.44, 0.18), (0.28, 0.0),
    )  # fmt: skip
    tongue = (
        (-0.14, 0.02), (-0.24, 0.2), (-0.12, 0.34), (-0.06, 0.26), (0.02, 0.52), (0.1, 0.3), (0.18, 0.36), (0.24, 0.18),
        (0.14, 0.02),
    )  # fmt: skip
    return at(outer), at(tongue, WHITE)


_EXPLODING = (
    _star(50, 44, 11, 21, 8),
    _disc(50, 53, 11),
    _line((36, 66), (27, 74), 3.4),
    _line((50, 69), (50, 79), 3.4),
    _line((64, 66), (73, 74), 3.4),
    _line((31, 52), (20, 53), 3.4),
    _line((69, 52), (80, 53), 3.4),
)
_FLAMMABLE = (*_flame(50, 68, 34, 48), _box(31, 71, 69, 75))
_OXIDISING = (
    *_flame(50, 50, 26, 33),
    _disc(50, 62, 13),
    _disc(50, 62, 8.5, ink=WHITE),
    _box(36, 77, 64, 80),
)
_GAS = (
    _shape((24, 62), (62, 40), (70, 42), (76, 45), (77, 49), (74, 55), (70, 59), (32, 73), (25, 71)),
    _shape((72, 43), (78, 38), (84, 44), (77, 50)),
)
_CORROSIVE = (
    _shape((24, 30), (45, 22), (47, 27), (26, 35)),
    _shape((54, 24), (75, 30), (74, 35), (53, 29)),
    _disc(41, 36, 2.2, 3.2),
    _disc(38, 45, 2.2, 3.2),
    _disc(60, 38, 2.2, 3.2),
    _disc(63, 46, 2.2, 3.2),
    _box(23, 54, 47, 59),
    _disc(38, 54, 6, 4, ink=WHITE),
    _shape((53, 51), (60, 49), (64, 52), (77, 54), (77, 59), (66, 61), (54, 59)),
    _disc(63, 52, 5, 3, ink=WHITE),
    _box(26, 65, 74, 69),
)
_TOXIC = (
    _line((26, 57), (74, 77), 5),
    _line((26, 77), (74, 57), 5),
    _disc(25, 57, 4), _disc(29, 53, 3.4), _disc(75, 57, 4), _disc(71, 53, 3.4),
    _disc(25, 77, 4), _disc(29, 80, 3.4), _disc(75, 77, 4), _disc(71, 80, 3.4),
    _disc(50, 38, 19, 18),
    _box(40, 50, 60, 63),
    _disc(42.5, 40, 5, 5.6, ink=WHITE),
    _disc(57.5, 40, 5, 5.6, ink=WHITE),
    _shape((50, 45), (53, 52), (47, 52), ink=WHITE),
    _line((46, 57), (46, 63), 1.4, WHITE),
    _line((50, 57), (50, 63), 1.4, WHITE),
    _line((54, 57), (54, 63), 1.4, WHITE),
)  # fmt: skip
_HARMFUL = (
    _shape((43, 20), (57, 20), (53.5, 62), (46.5, 62)),
    _disc(50, 20, 7, 4),
    _disc(50, 74, 6.2),
)
_HEALTH = (
    _disc(50, 26, 8.5, 10),
    _shape((45, 32), (55, 32), (57, 39), (67, 43), (72, 52), (73, 64), (63, 74), (50, 82), (37, 74), (27, 64), (28, 52),
           (33, 43), (43, 39)),
    Shape(tuple((50 + (14 if step % 2 == 0 else 5) * cos(pi * step / 6 - pi / 2),
                 57 + (17 if step % 2 == 0 else 5) * sin(pi * step / 6 - pi / 2)) for step in range(12)), WHITE),
)  # fmt: skip
_ENVIRONMENT = (
    _box(16, 62, 50, 65),
    _line((36, 64), (36, 34), 4),
    _line((36, 50), (24, 38), 3),
    _line((36, 45), (48, 33), 3),
    _line((36, 38), (29, 28), 2.4),
    _line((36, 36), (42, 25), 2.4),
    _line((27, 41), (20, 41), 2.2),
    _line((45, 36), (53, 35), 2.2),
    _shape((50, 66), (56, 58), (66, 55), (76, 59), (83, 52), (84, 68), (77, 64), (66, 69), (56, 69)),
    _disc(57, 62, 1.7, ink=WHITE),
    _shape((22, 69), (40, 66), (60, 74), (78, 71), (70, 78), (50, 81), (32, 77)),
)

_SYMBOLS = {
    "GHS01": _EXPLODING,
    "GHS02": _FLAMMABLE,
    "GHS03": _OXIDISING,
    "GHS04": _GAS,
    "GHS05": _CORROSIVE,
    "GHS06": _TOXIC,
    "GHS07": _HARMFUL,
    "GHS08": _HEALTH,
    "GHS09": _ENVIRONMENT,
}
