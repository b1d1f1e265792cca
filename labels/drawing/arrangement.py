"""Where on a label the QR codes go and what room is left for text. All lengths in mm from the label's upper left."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from labels.calc.sheet_geometry import Medium
from labels.drawing.qr_matrix import QUIET_MODULES

TARGET_MODULE_MM = 0.5
LEAST_MODULE_MM = 0.375
TWO_CODES_FROM_MM = 60.0
_MODULE_TO_SHORT_SIDE = 0.01
_RIGHT_MM = 1.0
_BESIDE_MM = 0.4
_ROUNDING = 1e-3


class LabelTooSmallError(ValueError):
    """The medium is too small for this kind of label; the message says what it needs."""


@dataclass(frozen=True)
class Box:
    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        return self.x + self.w

    @property
    def bottom(self) -> float:
        return self.y + self.h


@dataclass(frozen=True)
class Arrangement:
    """codes are the squares of the codes with their quiet zones; above and below are the rooms for text, the lower
    one flush with the first code's modules."""

    module_dots: int
    module_mm: float
    codes: tuple[Box, ...]
    above: Box
    below: Box

    @property
    def quiet_mm(self) -> float:
        return QUIET_MODULES * self.module_mm


@dataclass(frozen=True)
class Needs:
    """The least room that a kind of label takes; a wide room below sets the facts in two columns and is less high."""

    kind: str
    above_w: float
    above_h: float
    below_w: float
    below_h: float
    below_wide_w: float
    below_wide_h: float

    def below_height(self, width: float) -> float:
        return self.below_wide_h if width >= self.below_wide_w else self.below_h


def arrange(medium: Medium, modules: int, needs: Needs) -> Arrangement:
    """The arrangement with the largest modules, of whole printer dots, that leaves the text the room it needs."""
    for dots in _module_dots(medium):
        for arrangement in _arrangements(medium, modules + 2 * QUIET_MODULES, dots, needs):
            if _has_room(arrangement, needs):
                return arrangement
    raise LabelTooSmallError(_reason(medium, modules, needs))


def _module_dots(medium: Medium) -> range:
    target = max(TARGET_MODULE_MM, _MODULE_TO_SHORT_SIDE * min(medium.label_w, medium.label_h))
    least = LEAST_MODULE_MM / medium.dot_mm
    fewest = int(least) if least - int(least) < _ROUNDING else int(least) + 1
    return range(max(round(target / medium.dot_mm), fewest), fewest - 1, -1)


def _arrangements(medium: Medium, side: int, dots: int, needs: Needs) -> Iterator[Arrangement]:
    frame = _frame(medium)
    module = dots * medium.dot_mm
    size = side * module
    left = _on_dot(frame.x, medium), _on_dot(frame.y, medium)
    if medium.label_w < TWO_CODES_FROM_MM:
        yield _one_code(frame, dots, module, Box(*left, size, size))
        return
    right = _on_dot(frame.right - size - medium.dot_mm, medium)
    low = _on_dot(frame.bottom - size - medium.dot_mm, medium)
    if low >= left[1] + size:
        yield _corner_to_corner(frame, dots, module, Box(*left, size, size), Box(right, low, size, size), needs)
    yield _side_by_side(frame, dots, module, Box(*left, size, size), Box(right, left[1], size, size))


def _frame(medium: Medium) -> Box:
    x, y = medium.inset_x, medium.inset_y
    return Box(x, y, medium.label_w - 2 * x, medium.label_h - 2 * y)


def _on_dot(length: float, medium: Medium) -> float:
    """The next whole dot, so that a printer draws every module with the same number of dots."""
    return -(-length // medium.dot_mm) * medium.dot_mm


def _one_code(frame: Box, dots: int, module: float, code: Box) -> Arrangement:
    return Arrangement(
        module_dots=dots,
        module_mm=module,
        codes=(code,),
        above=_room(code.right + _BESIDE_MM, frame.y, frame.right - _RIGHT_MM, code.bottom),
        below=_room(code.x + QUIET_MODULES * module, code.bottom, frame.right - _RIGHT_MM, frame.bottom),
    )


def _corner_to_corner(frame: Box, dots: int, module: float, first: Box, second: Box, needs: Needs) -> Arrangement:
    """The split lies where both rooms have their share of the height, between the two codes."""
    left, right = first.x + QUIET_MODULES * module, second.x - _RIGHT_MM
    share = frame.h * needs.above_h / (needs.above_h + needs.below_height(right - left))
    split = min(max(frame.y + share, first.bottom), second.y)
    return Arrangement(
        module_dots=dots,
        module_mm=module,
        codes=(first, second),
        above=_room(first.right + _BESIDE_MM, frame.y, frame.right - _RIGHT_MM, split),
        below=_room(left, split, right, frame.bottom),
    )


def _side_by_side(frame: Box, dots: int, module: float, first: Box, second: Box) -> Arrangement:
    return Arrangement(
        module_dots=dots,
        module_mm=module,
        codes=(first, second),
        above=_room(first.right + _BESIDE_MM, frame.y, second.x - _BESIDE_MM, first.bottom),
        below=_room(first.x + QUIET_MODULES * module, first.bottom, frame.right - _RIGHT_MM, frame.bottom),
    )


def _room(left: float, top: float, right: float, bottom: float) -> Box:
    return Box(left, top, right - left, bottom - top)


def _has_room(arrangement: Arrangement, needs: Needs) -> bool:
    above, below = arrangement.above, arrangement.below
    wide_enough = above.w >= needs.above_w and below.w >= needs.below_w
    return wide_enough and above.h >= needs.above_h and below.h >= needs.below_height(below.w)


def _reason(medium: Medium, modules: int, needs: Needs) -> str:
    module = _module_dots(medium)[-1] * medium.dot_mm
    code = (modules + 2 * QUIET_MODULES) * module
    least_w = max(code + _BESIDE_MM + needs.above_w, QUIET_MODULES * module + needs.below_w) + _RIGHT_MM
    least_h = max(code, needs.above_h) + needs.below_h
    width, height = _size(least_w, medium.inset_x, medium), _size(least_h, medium.inset_y, medium)
    return (
        f"{medium.name} is too small for a {needs.kind} label, which needs about {width} x {height} mm: a code of "
        f"{code:.1f} mm, the least that a phone reads at arm's length, and room for the text. Choose a larger label "
        "or, where the shop's address is long, a shorter host name."
    )


def _size(least: float, inset: float, medium: Medium) -> int:
    return ceil(least + 2 * inset + medium.dot_mm)
