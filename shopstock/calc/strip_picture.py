"""Where things stand on the drawing of a roll as one band, free end on the left, lengths to scale."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from shopstock.calc.roomiest import points_text, roomiest
from shopstock.calc.units import METRIC, US

FOOT_MM = 304.8
WORDS_ROOM = 3.2  # a word is wider than high, so it takes more than the circle inside an outline
CLOSER = 2.5  # how much more room words have in a drawing made larger
BAND_WIDTH = 1000.0  # drawing units for the whole length
BAND_LEFT = 10.0
BAND_TOP = 34.0
BAND_HEIGHT = 96.0


@dataclass(frozen=True)
class Span:
    """A stretch of the roll in mm from the free end, and its name; `across_mm` from the left edge, None the width."""

    start_mm: int
    end_mm: int
    name: str = ""
    kind: str = ""
    across_mm: tuple[int, int] | None = None


@dataclass(frozen=True)
class Piece:
    """A blank: corner in mm from the free end and from the roll's left edge, size in mm."""

    from_free_mm: int
    from_edge_mm: int
    along_mm: int
    across_mm: int
    name: str
    turned: bool = False
    outline: tuple[tuple[float, float], ...] = ()  # corners in mm along and across, from the blank's own corner


@dataclass(frozen=True)
class LeftOver:
    """A piece beside the blanks: corner and size in mm as of a blank; `kept` as an offcut, or of no use."""

    from_free_mm: int
    from_edge_mm: int
    along_mm: int
    across_mm: int
    kept: bool


@dataclass(frozen=True)
class Tick:
    """A mark along the roll: where, what stands at it, and how its words hang on it (SVG text-anchor)."""

    x: float
    name: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Box:
    """A rectangle of the drawing, in drawing units, with its words."""

    x: float
    y: float
    width: float
    height: float
    name: str = ""
    kind: str = ""
    short: str = ""
    points: str = ""  # of an outline, as an SVG polygon has them
    closer: str = ""  # the words when the drawing is made larger and its letters are not
    inside: tuple[float, float] | None = None  # of an outline, where its words stand
    room: float = 0.0  # around that place

    @property
    def arrow(self) -> str:
        """The warp as an SVG path along the roll, under the name; none in a box too small for both."""
        if self.inside:
            (x, y), room = self.inside, self.room
            fits, length, below = room >= 16, min(60.0, 1.4 * room), y + 12
        else:
            x, fits, length = self.middle_x, self.height >= 30 and self.width >= 34, min(60.0, self.width - 14)
            below = self.y + self.height - 9
        return f"M{x - length / 2:.1f} {below:.1f}h{length:.1f}m-6-4 6 4-6 4" if fits else ""

    @property
    def middle_x(self) -> float:
        return self.inside[0] if self.inside else round(self.x + self.width / 2, 1)

    @property
    def middle_y(self) -> float:
        return self.inside[1] if self.inside else round(self.y + self.height / 2, 1)


@dataclass(frozen=True)
class Picture:
    band: Box
    set_aside: list[Box] = field(default_factory=list)
    blanks: list[Box] = field(default_factory=list)
    faults: list[Box] = field(default_factory=list)
    ticks: list[Tick] = field(default_factory=list)
    left_over: list[Box] = field(default_factory=list)
    goes_on: bool = False

    @property
    def width(self) -> float:
        return BAND_WIDTH + 2 * BAND_LEFT

    @property
    def height(self) -> float:
        return BAND_TOP + BAND_HEIGHT + 34


def draw_strip(
    length_mm: int,
    width_mm: int,
    *,
    faults: Iterable[Span] = (),
    set_aside: Iterable[Span] = (),
    blanks: Iterable[Piece] = (),
    left_over: Iterable[LeftOver] = (),
    step_mm: int | None = None,
    shown_mm: int | None = None,
    system: str = METRIC,
) -> Picture:
    """Place faults, promises, blanks and what is left over (all in mm from the free end) on the band of a roll.

    length_mm, width_mm: of the roll, mm; shown_mm draws only so much of it from the free end. Result: boxes in
    drawing units, the band 1000 units long; across the roll the scale is its own, since a roll is fifty times longer
    than wide. Raises ValueError for a roll of no size.
    Worked: on a 10 000 mm roll a span from 2000 to 3000 mm starts at x 210 and is 100 units long.
    """
    if length_mm <= 0 or width_mm <= 0:
        raise ValueError("A roll to draw needs a length and a width above 0 mm.")
    goes_on = shown_mm is not None and 0 < shown_mm < length_mm
    length_mm = shown_mm if goes_on else length_mm
    along, across = BAND_WIDTH / length_mm, BAND_HEIGHT / width_mm

    def span_box(span: Span) -> Box:
        width = max((min(span.end_mm, length_mm) - span.start_mm) * along, 2.0)
        left_mm, right_mm = span.across_mm or (0, width_mm)
        return Box(
            round(BAND_LEFT + span.start_mm * along, 1),
            round(BAND_TOP + left_mm * across, 1),
            round(width, 1),
            round(max((right_mm - left_mm) * across, 2.0), 1),
            span.name,
            span.kind,
            shortened(span.name, width),
        )

    def piece_box(piece: Piece) -> Box:
        corners = _corners(piece, BAND_LEFT, BAND_TOP, along, across)
        inside, room = roomiest(corners)
        width = WORDS_ROOM * room if corners else piece.along_mm * along
        height = 2 * room if corners else piece.across_mm * across
        return Box(
            round(BAND_LEFT + piece.from_free_mm * along, 1),
            round(BAND_TOP + piece.from_edge_mm * across, 1),
            round(piece.along_mm * along, 1),
            round(piece.across_mm * across, 1),
            piece.name,
            "turned" if piece.turned else "",
            shortened(piece.name, width) if height >= 18 else "",
            points_text(corners),
            shortened(piece.name, CLOSER * width) if height >= 18 / CLOSER else "",
            inside,
            room,
        )

    return Picture(
        Box(BAND_LEFT, BAND_TOP, BAND_WIDTH, BAND_HEIGHT),
        [span_box(span) for span in set_aside if span.start_mm < length_mm],
        [piece_box(piece) for piece in blanks],
        [span_box(span) for span in faults if span.start_mm < length_mm],
        _ticks(length_mm, along, step_mm, system),
        [_left_box(piece, along, across) for piece in left_over if piece.from_free_mm < length_mm],
        goes_on,
    )


def _left_box(piece: LeftOver, along: float, across: float) -> Box:
    width = max(piece.along_mm * along, 2.0)
    words = "offcut to keep" if piece.kept else "too short to use"
    return Box(
        round(BAND_LEFT + piece.from_free_mm * along, 1),
        round(BAND_TOP + piece.from_edge_mm * across, 1),
        round(width, 1),
        round(piece.across_mm * across, 1),
        words,
        "offcut" if piece.kept else "dead-end",
        shortened("offcut", width) if piece.kept and piece.across_mm * across >= 18 else "",
    )


def _corners(piece: Piece, left: float, top: float, along: float, across: float) -> list[tuple[float, float]]:
    """Of an outline, in drawing units."""
    return [
        (left + (piece.from_free_mm + x) * along, top + (piece.from_edge_mm + y) * across) for x, y in piece.outline
    ]


def _ticks(length_mm: int, along: float, step_mm: int | None, system: str) -> list[Tick]:
    """The outermost words hang inwards, so that none is cut off at the edge of the drawing."""
    in_feet = system == US and step_mm is None
    found = feet_marks(length_mm) if in_feet else [(mark, f"{mark / 1000:g} m") for mark in marks(length_mm, step_mm)]
    ticks = []
    for mark, name in found:
        x = round(BAND_LEFT + mark * along, 1)
        anchor = "start" if mark == 0 else "end" if x > BAND_LEFT + BAND_WIDTH - 4 * len(name) else "middle"
        ticks.append(Tick(x, name, anchor))
    return ticks


def feet_marks(length_mm: int) -> list[tuple[float, str]]:
    """Positions in mm of marks a round number of feet apart and their words, at most about a dozen.

    Worked: 10 000 mm, 32.8 ft, gives a mark every 5 ft: 0, 1524 mm ...
    """
    steps = (0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 10**6)
    step = next(step for step in steps if length_mm / (step * FOOT_MM) <= 12)
    count = int(length_mm // (step * FOOT_MM)) + 1
    return [(number * step * FOOT_MM, f"{number * step:g} ft") for number in range(count)]


def shortened(name: str, width: float) -> str:
    """As much of a name as fits in `width` drawing units at about 9 units a character; nothing when under two fit.

    Of a name such as "Tender 4: Hull 1" what stands behind the colon stays when not all of it fits.
    """
    room = int(width // 9)
    if len(name) <= room:
        return name
    name = name.rpartition(": ")[2]
    if len(name) <= room:
        return name
    return f"{name[: room - 1]}…" if room >= 3 else ""


def marks(length_mm: int, step_mm: int | None = None) -> list[int]:
    """Positions in mm of the metre marks, a round step apart, at most about a dozen.

    Worked: 10 000 mm gives a mark every 1000 mm; 55 000 mm every 5000 mm.
    """
    step = step_mm or next(s for s in (100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 10**9) if length_mm / s <= 12)
    return list(range(0, length_mm + 1, step))


ZOOM_LENGTH = 1000.0  # drawing units, the most that a strip drawn on its own may take each way
ZOOM_HEIGHT = 420.0
ZOOM_MARGIN = 26.0
TALL_ENOUGH = 30.0  # a box for two lines of words


@dataclass(frozen=True)
class Zoom:
    """One strip drawn to scale on its own, the free end on the left; boxes carry the number of their line."""

    band: Box
    blanks: list[Box]
    is_long: bool

    @property
    def width(self) -> float:
        return round(self.band.width + 2 * ZOOM_MARGIN, 1)

    @property
    def height(self) -> float:
        return round(self.band.height + 2 * ZOOM_MARGIN, 1)


def draw_zoom(length_mm: int, width_mm: int, blanks: Iterable[Piece]) -> Zoom:
    """Draw one strip at the same scale along and across.

    length_mm, width_mm: of the strip, mm; blanks in mm from its start and the roll's left edge. Result: boxes in
    drawing units, at most 1000 long and 420 high. Raises ValueError for a strip of no size.
    Worked: a strip of 2000 × 1000 mm is drawn 840 × 420 units.
    """
    if length_mm <= 0 or width_mm <= 0:
        raise ValueError("A strip to draw needs a length and a width above 0 mm.")
    scale = min(ZOOM_LENGTH / length_mm, ZOOM_HEIGHT / width_mm)

    def box(number: int, piece: Piece) -> Box:
        width, height = piece.along_mm * scale, piece.across_mm * scale
        corners = _corners(piece, ZOOM_MARGIN, ZOOM_MARGIN, scale, scale)
        inside, room = roomiest(corners)
        words_room = WORDS_ROOM * room if corners else width - 40
        words = shortened(piece.name, words_room) if height >= TALL_ENOUGH else ""
        return Box(
            round(ZOOM_MARGIN + piece.from_free_mm * scale, 1),
            round(ZOOM_MARGIN + piece.from_edge_mm * scale, 1),
            round(width, 1),
            round(height, 1),
            piece.name,
            "turned" if piece.turned else "",
            f"{number} {words}".strip(),
            points_text(corners),
            inside=inside,
            room=room,
        )

    band = Box(ZOOM_MARGIN, ZOOM_MARGIN, round(length_mm * scale, 1), round(width_mm * scale, 1))
    return Zoom(band, [box(number, piece) for number, piece in enumerate(blanks, start=1)], band.width > 600)
