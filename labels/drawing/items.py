"""The things drawn on a label. All lengths in mm from the label's upper left corner."""

from dataclasses import dataclass

from labels.calc.label_content import Direction
from labels.drawing.qr_matrix import Matrix


@dataclass(frozen=True)
class Text:
    """One line; size is the typeface's em, width what the line takes at most."""

    x: float
    baseline: float
    size: float
    font: str
    text: str
    width: float


@dataclass(frozen=True)
class Code:
    """A QR code; x and y are the corner of its first module, inside the quiet zone."""

    x: float
    y: float
    module_mm: float
    module_dots: int
    matrix: Matrix


@dataclass(frozen=True)
class Rule:
    """A horizontal line."""

    x: float
    y: float
    length: float
    thickness: float


@dataclass(frozen=True)
class Arrow:
    """A double-headed arrow along the warp, filling its box."""

    x: float
    y: float
    w: float
    h: float
    direction: Direction


@dataclass(frozen=True)
class Pictogram:
    """A hazard pictogram; x and y are the corner of the square round its diamond."""

    x: float
    y: float
    width: float
    code: str


Item = Text | Code | Rule | Arrow | Pictogram


@dataclass(frozen=True)
class Drawing:
    width: float
    height: float
    items: tuple[Item, ...]
