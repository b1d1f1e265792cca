"""Where the lines and marks of an outlook stand on its drawing: days from left to right, amounts upwards."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor, log10

from shopstock.calc.outlook import COMES, DIES, MAY_COME, SHORT, TAKEN, Outlook, Point

WIDE, NARROW, HEIGHT = 1000.0, 420.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 86.0, 22.0, 34.0, 44.0
LETTER_WIDTH = 10.0  # of the bold type that stands in it
DAY_MARK_WIDTH = 105.0  # room for "07 Dec" and some air


@dataclass(frozen=True)
class Mark:
    """Something on one day: where it stands, its kind, and its words for who points at it."""

    x: float
    y: float
    kind: str
    words: str


@dataclass(frozen=True)
class Label:
    """Words at a place on an axis, and how they hang on it (SVG text-anchor)."""

    x: float
    y: float
    words: str
    anchor: str = "middle"

    @property
    def rule_y(self) -> float:
        """Where the rule runs that the words stand beside."""
        return self.y - 5

    @property
    def under_y(self) -> float:
        """Where the rule runs that the words stand on."""
        return self.y + 5


@dataclass(frozen=True)
class OutlookPicture:
    """Paths and places in the units of a box of ``width`` by HEIGHT."""

    line: str
    band: str
    short: str
    marks: tuple[Mark, ...]
    days: tuple[Label, ...]
    amounts: tuple[Label, ...]
    zero_y: float
    order_by_x: float | None
    order_by: Label | None
    stops: Label | None
    minimum: Label | None
    width: float
    height: float = HEIGHT
    left: float = LEFT

    @property
    def right(self) -> float:
        return self.width - RIGHT


@dataclass(frozen=True)
class _Scale:
    first: date
    days: int
    most: int
    least: int
    width: float

    def x(self, day: date) -> float:
        share = min(1.0, max(0.0, (day - self.first).days / self.days))
        return round(LEFT + share * (self.width - LEFT - RIGHT), 1)

    def y(self, amount: float) -> float:
        share = (amount - self.least) / (self.most - self.least)
        return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)


def draw_outlook(
    found: Outlook,
    *,
    unit: int,
    unit_name: str,
    order_by: date | None,
    stops: str = "",
    minimum: int = 0,
    width: float = WIDE,
) -> OutlookPicture:
    """The drawing of an outlook whose amounts are shown in ``unit`` of its own unit, such as 1000 mm for m.

    ``stops`` names the job that stands still when it is short; ``minimum`` is what is kept, 0 for none. Raises nothing.
    Worked: 10 m on the first day and 4 m on the last give a line that falls once.
    """
    points = found.points
    most, least = max(minimum, *(point.high for point in points)), -max(point.short for point in points)
    step = _step((most - least) / unit) * unit
    days = max(1, (points[-1].on - points[0].on).days)
    scale = _Scale(points[0].on, days, _up(max(most, step), step), _down(least, step), width)
    return OutlookPicture(
        line=_steps(scale, points, [point.left for point in points]),
        band=_band(scale, points),
        short=_area(scale, points) if least else "",
        marks=tuple(_marks(scale, points)),
        days=tuple(_days(scale, points)),
        amounts=tuple(_amounts(scale, step, unit, unit_name)),
        zero_y=scale.y(0),
        order_by_x=None if order_by is None else scale.x(order_by),
        order_by=None if order_by is None else _order_by(scale, order_by),
        stops=_stops(scale, found, stops) if least else None,
        minimum=Label(width - RIGHT, scale.y(minimum) - 5, "keep at least", "end") if minimum else None,
        width=width,
    )


def _step(span: float) -> int:
    """A round number of which three to six make the height."""
    if span <= 4:
        return 1
    power = 10 ** floor(log10(span / 4))
    return max(1, int(next(power * times for times in (1, 2, 5, 10) if power * times >= span / 5)))


def _up(amount: float, step: int) -> int:
    return int(-(-amount // step) * step)


def _down(amount: float, step: int) -> int:
    return int(amount // step * step)


def _corners(scale: _Scale, points: Sequence[Point], amounts: Sequence[int]) -> list[tuple[float, float]]:
    corners = [(scale.x(points[0].on), scale.y(amounts[0]))]
    for point, before, amount in zip(points[1:], amounts, amounts[1:], strict=False):
        corners += [(scale.x(point.on), scale.y(before)), (scale.x(point.on), scale.y(amount))]
    return corners


def _path(corners: Sequence[tuple[float, float]]) -> str:
    return "M" + " L".join(f"{x:g} {y:g}" for x, y in corners)


def _steps(scale: _Scale, points: Sequence[Point], amounts: Sequence[int]) -> str:
    return _path(_corners(scale, points, amounts))


def _band(scale: _Scale, points: Sequence[Point]) -> str:
    above = _corners(scale, points, [point.high for point in points])
    below = _corners(scale, points, [point.low for point in points])
    return _path(above + below[::-1]) + " Z"


def _area(scale: _Scale, points: Sequence[Point]) -> str:
    """What is short, hanging below the line of nothing."""
    first = next(number for number, point in enumerate(points) if point.short)
    corners = _corners(scale, points[first:], [-point.short for point in points[first:]])
    return _path([(corners[0][0], scale.y(0)), *corners, (corners[-1][0], scale.y(0))]) + " Z"


def _marks(scale: _Scale, points: Sequence[Point]):
    for point in points:
        kinds = [event.kind for event in point.events]
        if kinds:
            kind = next((name for name in (SHORT, DIES, COMES, TAKEN, MAY_COME) if name in kinds), kinds[0])
            level = -point.short if SHORT in kinds else point.left
            words = f"{point.on}: " + "; ".join(event.words for event in point.events)
            yield Mark(scale.x(point.on), scale.y(level), kind.replace(" ", "-"), words)


def _days(scale: _Scale, points: Sequence[Point]):
    every = max(1, -(-scale.days // int((scale.width - LEFT - RIGHT) / DAY_MARK_WIDTH)))
    for number in range(0, scale.days + 1, every):
        day = scale.first + timedelta(days=number)
        anchor = "start" if number == 0 else "middle" if number + every / 2 < scale.days else "end"
        yield Label(scale.x(day), HEIGHT - BOTTOM + 26, "today" if number == 0 else f"{day:%d %b}", anchor)


def _amounts(scale: _Scale, step: int, unit: int, unit_name: str):
    for amount in range(0, scale.most + 1, step):
        yield Label(LEFT - 8, scale.y(amount) + 5, f"{amount // unit} {unit_name}", "end")
    if scale.least:
        yield Label(LEFT - 8, scale.y(scale.least) + 5, f"−{-scale.least // unit} {unit_name}", "end")


def _order_by(scale: _Scale, day: date) -> Label:
    late = day < scale.first
    return _beside(scale, day, TOP - 14, "order at once" if late else f"order by {day:%d %b}")


def _stops(scale: _Scale, found: Outlook, job: str) -> Label:
    """Under the line of nothing, where it is short for the first time."""
    return _beside(scale, found.first_short.on, scale.y(0) + 24, f"short for {job}" if job else "short")


def _beside(scale: _Scale, day: date, y: float, words: str) -> Label:
    """To the right of a day, or to its left where that side has more room."""
    x = scale.x(day)
    to_right = x < scale.width / 2
    room = scale.width - RIGHT - x if to_right else x - LEFT
    return Label(x + (8 if to_right else -8), y, _fitted(words, room - 8), "start" if to_right else "end")


def _fitted(words: str, room: float) -> str:
    letters = max(2, int(room / LETTER_WIDTH))
    return words if len(words) <= letters else f"{words[: letters - 1].rstrip()}…"
