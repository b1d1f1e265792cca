"""Readings over time as a line in a drawing, with the band they should stay in; a gap stays a gap."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil, floor

WIDTH, HEIGHT = 720.0, 200.0
LEFT, RIGHT, TOP, BOTTOM = 60.0, 10.0, 14.0, 34.0


@dataclass(frozen=True)
class Mark:
    """A line across or down with its name; `at` in drawing units."""

    at: float
    name: str


@dataclass(frozen=True)
class ClimatePicture:
    """Everything to draw, in units of a WIDTH by HEIGHT box."""

    lines: tuple[str, ...]
    dots: tuple[tuple[float, float], ...]
    band_top: float | None
    band_height: float | None
    across: tuple[Mark, ...]
    down: tuple[Mark, ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = LEFT
    right: float = WIDTH - RIGHT
    top: float = TOP
    bottom: float = HEIGHT - BOTTOM

    @property
    def band_width(self) -> float:
        return self.right - self.left


def climate_picture(
    stretches: Sequence[Sequence[tuple[datetime, float]]],
    *,
    start: datetime,
    end: datetime,
    low: float | None = None,
    high: float | None = None,
    unit: str,
) -> ClimatePicture:
    """A line a stretch of (moment, value) between two moments; ``low`` and ``high`` are the ends of the band or None.

    Values and band in ``unit``. A stretch of one reading is a dot. Worked: one stretch of three readings and one of a
    single reading → one line and one dot.
    """
    values = [value for stretch in stretches for _, value in stretch]
    bottom, top, step = _scale([*values, *(v for v in (low, high) if v is not None)])
    seconds = max((end - start).total_seconds(), 1)

    def x(at: datetime) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (at - start).total_seconds() / seconds

    def y(value: float) -> float:
        return TOP + (HEIGHT - TOP - BOTTOM) * (top - value) / (top - bottom)

    lines = tuple(_path([(x(at), y(v)) for at, v in stretch]) for stretch in stretches if len(stretch) > 1)
    dots = tuple((x(stretch[0][0]), y(stretch[0][1])) for stretch in stretches if len(stretch) == 1)
    band = _band(y, low, high, bottom, top)
    across = tuple(
        Mark(y(bottom + n * step), f"{bottom + n * step:g} {unit}") for n in range(_steps(bottom, top, step))
    )
    return ClimatePicture(lines, dots, *band, across, tuple(Mark(x(at), name) for at, name in _days(start, end)))


def _scale(values: Sequence[float]) -> tuple[float, float, float]:
    """Bottom, top and step of a scale that holds the values with round figures."""
    least, most = (min(values), max(values)) if values else (0.0, 10.0)
    step = next((s for s in (1, 2, 5, 10, 20) if (most - least) / s <= 5), 50)
    bottom, top = floor(least / step) * step, ceil(most / step) * step
    return (bottom, top, step) if top > bottom else (bottom - step, top + step, step)


def _steps(bottom: float, top: float, step: float) -> int:
    return round((top - bottom) / step) + 1


def _path(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _band(y, low: float | None, high: float | None, bottom: float, top: float) -> tuple[float | None, float | None]:
    if low is None and high is None:
        return None, None
    upper, lower = y(top if high is None else high), y(bottom if low is None else low)
    return upper, lower - upper


def _days(start: datetime, end: datetime) -> list[tuple[datetime, str]]:
    """Midnights, or every few days where there are many, named by their date; hours within one day or two."""
    span = end - start
    if span <= timedelta(days=2):
        first = start.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
        hours = [first + timedelta(hours=n) for n in range(int(span.total_seconds() // 3600))]
        return [(at, f"{at:%H:%M}") for at in hours if at.hour % 6 == 0]
    every = max(1, ceil(span.days / 7))
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    days = [midnight + timedelta(days=n) for n in range(span.days + 1) if n % every == 0]
    return [(at, f"{at:%m-%d}") for at in days if at <= end]
