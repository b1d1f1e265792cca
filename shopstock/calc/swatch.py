"""A small picture of a fabric from its form, weave and layer angles: 48 units square, the warp from left to right.

It is a sign to tell fabrics apart at a glance, not a drawing to scale.
"""

import math
import random
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from shopstock.calc.forms import (
    BASKET,
    COMBINATION_MAT,
    CORE,
    PLAIN,
    SATIN,
    TWILL,
    VEIL,
    WOVEN_ROVING,
)

SIZE = 48.0

WARP, WEFT = "warp", "weft"
STRAND, BACK, STITCH = "strand", "back", "stitch"
CHOPPED, OVER, HAIR, CELL = "chopped", "over", "hair", "cell"


@dataclass(frozen=True)
class Bar:
    """A yarn where it lies on top: a rectangle in drawing units, its kind WARP or WEFT."""

    x: float
    y: float
    width: float
    height: float
    kind: str


@dataclass(frozen=True)
class Line:
    """A straight strand in drawing units; it may run past the edge, the picture clips it."""

    x1: float
    y1: float
    x2: float
    y2: float
    kind: str


@dataclass(frozen=True)
class Swatch:
    """Everything to draw, back to front: lines behind, bars, lines in front."""

    bars: tuple[Bar, ...] = ()
    lines: tuple[Line, ...] = ()


# How many yarns the picture shows, and whether the warp lies on top where row and column cross.
_Pattern = tuple[int, Callable[[int, int], bool]]
_PATTERNS: dict[str, _Pattern] = {
    PLAIN: (6, lambda row, column: (row + column) % 2 == 0),
    TWILL: (8, lambda row, column: (row + column) % 4 < 2),
    SATIN: (10, lambda row, column: (column - 2 * row) % 5 != 0),
    BASKET: (8, lambda row, column: (row // 2 + column // 2) % 2 == 0),
}
_COARSE_PLAIN: _Pattern = (4, _PATTERNS[PLAIN][1])


def draw_swatch(form: str, weave: str, angles_deg: Iterable[int | None]) -> Swatch:
    """The picture of a fabric, in drawing units.

    ``angles_deg`` are its layers in degrees from the warp, top first, None for a random layer. Raises nothing: a
    weave is drawn as woven, else the layers are drawn as they lie. Source: own drawing. Worked: mat → only chopped
    strands.
    """
    if weave in _PATTERNS:
        return Swatch(bars=tuple(_woven(*_pattern(form, weave))))
    if form == CORE:
        return Swatch(lines=tuple(_cells()))
    return Swatch(lines=tuple(_laid(form, list(angles_deg))))


def _pattern(form: str, weave: str) -> _Pattern:
    return _COARSE_PLAIN if weave == PLAIN and form in (WOVEN_ROVING, COMBINATION_MAT) else _PATTERNS[weave]


def _woven(yarns: int, warp_on_top: Callable[[int, int], bool]) -> Iterator[Bar]:
    pitch = SIZE / yarns
    for row in range(yarns):
        for start, end in _runs([warp_on_top(row, column) for column in range(yarns)]):
            yield _bar(start * pitch, row * pitch, (end - start) * pitch, pitch, WARP)
    for column in range(yarns):
        for start, end in _runs([not warp_on_top(row, column) for row in range(yarns)]):
            yield _bar(column * pitch, start * pitch, pitch, (end - start) * pitch, WEFT)


def _bar(x: float, y: float, width: float, height: float, kind: str) -> Bar:
    """A bar with a gap beside it, where the next yarn begins; along its own direction it goes under, without a gap."""
    gap = min(width, height) * 0.12
    if kind == WARP:
        return Bar(round(x, 2), round(y + gap, 2), round(width, 2), round(height - 2 * gap, 2), kind)
    return Bar(round(x + gap, 2), round(y, 2), round(width - 2 * gap, 2), round(height, 2), kind)


def _runs(flags: list[bool]) -> Iterator[tuple[int, int]]:
    start = None
    for place, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = place
        elif not flag and start is not None:
            yield start, place
            start = None


def _laid(form: str, angles_deg: list[int | None]) -> Iterator[Line]:
    """Layers as they lie on one another, the top one last; a stitched fabric shows its thread."""
    directions = list(dict.fromkeys(angle for angle in angles_deg if angle is not None))
    for depth, angle in enumerate(reversed(directions), start=1):
        yield from _parallel(
            angle, pitch=6.0 if len(directions) == 1 else 9.0, kind=STRAND if depth == len(directions) else BACK
        )
    if len(directions) > 1:
        yield from _stitches()
    if None in angles_deg or not directions:
        yield from _random_layer(form, over_strands=bool(directions))


def _random_layer(form: str, *, over_strands: bool) -> Iterator[Line]:
    if form == VEIL:
        return _chopped(strands=26, length=40.0, kind=HAIR)
    return _chopped(strands=14 if over_strands else 40, length=13.0, kind=OVER if over_strands else CHOPPED)


def _parallel(angle_deg: int, *, pitch: float, kind: str) -> Iterator[Line]:
    """Strands at an angle, counted counter-clockwise from the warp; drawing units grow downwards."""
    along = math.cos(math.radians(angle_deg)), -math.sin(math.radians(angle_deg))
    across = -along[1], along[0]
    count = math.ceil(SIZE / pitch)
    for number in range(-count, count + 1):
        offset = (number + 0.5) * pitch
        x, y = SIZE / 2 + across[0] * offset, SIZE / 2 + across[1] * offset
        if abs(offset) < SIZE * 0.71:
            yield _line(x - along[0] * SIZE, y - along[1] * SIZE, x + along[0] * SIZE, y + along[1] * SIZE, kind)


def _stitches() -> Iterator[Line]:
    for row in range(3):
        for place in range(4):
            x, y = 4 + place * 12, 8 + row * 16
            yield _line(x, y, x + 5, y, STITCH)


def _chopped(*, strands: int, length: float, kind: str) -> Iterator[Line]:
    """Strands in every direction, row by row so that none of the picture stays bare, the same each time."""
    dice = random.Random(4)
    for number in range(strands):
        x, y = dice.uniform(0, SIZE), SIZE * ((number + 0.5) / strands)
        angle = math.pi * (number * 0.754878 % 1) + dice.uniform(-0.2, 0.2)
        dx, dy = math.cos(angle) * length / 2, math.sin(angle) * length / 2
        yield _line(x - dx, y - dy, x + dx, y + dy, kind)


def _cells() -> Iterator[Line]:
    """Dots in staggered rows: lines of no length with round ends."""
    for row in range(6):
        for place in range(6):
            x, y = 4 + place * 8 + (4 if row % 2 else 0), 4 + row * 8
            yield _line(x, y, x, y, CELL)


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> Line:
    return Line(round(x1, 2), round(y1, 2), round(x2, 2), round(y2, 2), kind)
