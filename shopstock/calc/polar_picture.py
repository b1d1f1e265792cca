"""A polar plot: how much of something there is in each direction, as curves around a middle, in drawing units.

0° points right, as the warp does in every drawing of the program; angles count counter-clockwise on paper unless told
otherwise.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, floor, log10, radians, sin

from shopstock.calc.directional_fibre import angle_words

SIZE = 320.0
MIDDLE = SIZE / 2
REACH = 122.0
STEP_DEG = 5
ANGLES_DEG = tuple(range(0, 360, STEP_DEG))
SPOKES_DEG = (0, 45, 90, 135, 180, -135, -90, -45)


@dataclass(frozen=True)
class Curve:
    """One thing drawn: its name and a value for each of ANGLES_DEG, all of one unit."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Spoke:
    x: float
    y: float
    label: str
    label_x: float
    label_y: float


@dataclass(frozen=True)
class Ring:
    radius: float
    label: str
    label_y: float


@dataclass(frozen=True)
class Drawn:
    name: str
    path: str
    number: int


@dataclass(frozen=True)
class PolarPicture:
    """Everything to draw; lengths in drawing units, ring labels in the unit of the curves."""

    rings: tuple[Ring, ...]
    spokes: tuple[Spoke, ...]
    curves: tuple[Drawn, ...]
    size: float = SIZE
    middle: float = MIDDLE


def draw_polar(curves: Sequence[Curve], *, clockwise: bool = False) -> PolarPicture:
    """The drawing of curves on one scale; raises ValueError for none. Worked: one curve of 3 → rings at 1, 2, 3."""
    if not curves:
        raise ValueError("A polar plot needs at least one curve.")
    step = ring_step(max(value for curve in curves for value in curve.values))
    count = max(1, -int(-max(value for curve in curves for value in curve.values) // step))
    scale = REACH / (step * count)
    return PolarPicture(
        rings=tuple(_ring(step * number, scale) for number in range(1, count + 1)),
        spokes=tuple(_spoke(angle, clockwise) for angle in SPOKES_DEG),
        curves=tuple(
            Drawn(curve.name, _path(curve.values, scale, clockwise), number) for number, curve in enumerate(curves)
        ),
    )


def ring_step(largest: float) -> float:
    """Distance between rings, 1, 2 or 5 of a power of ten, so that two to four rings hold ``largest`` (any unit).

    Worked: 637 → 200; 3 → 1; 0 → 1.
    """
    if largest <= 0:
        return 1.0
    power = 10.0 ** floor(log10(largest / 4))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor * 4 >= largest)


def _point(angle_deg: float, radius: float, clockwise: bool) -> tuple[float, float]:
    angle = radians(angle_deg)
    turn = 1 if clockwise else -1
    return round(MIDDLE + radius * cos(angle), 1), round(MIDDLE + turn * radius * sin(angle), 1)


def _path(values: Sequence[float], scale: float, clockwise: bool) -> str:
    points = [
        "{:.1f} {:.1f}".format(*_point(angle, value * scale, clockwise))
        for angle, value in zip(ANGLES_DEG, values, strict=True)
    ]
    return f"M{' L'.join(points)}Z"


def _spoke(angle_deg: int, clockwise: bool) -> Spoke:
    x, y = _point(angle_deg, REACH, clockwise)
    label_x, label_y = _point(angle_deg, REACH + 19, clockwise)
    label = angle_words(angle_deg) if abs(angle_deg) <= 90 else ""
    return Spoke(x, y, label, label_x, round(label_y + 4, 1))


def _ring(value: float, scale: float) -> Ring:
    radius = round(value * scale, 1)
    return Ring(radius, f"{value:,.0f}" if value >= 1 else f"{value:g}", round(MIDDLE + radius - 3, 1))
