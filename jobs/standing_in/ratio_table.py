"""Ratios of a comparison as a table: a row a kind of figure, a column a direction."""

from collections.abc import Mapping
from dataclasses import dataclass

DIRECTIONS = ("0", "90", "+45", "-45")
KINDS = {
    "fibre": "fibre weight",
    "stretching": "stretching stiffness",
    "bending": "bending stiffness",
    "strength": "tensile strength per width",
}


@dataclass(frozen=True)
class Cell:
    """A ratio and whether it holds; None where the specification carries nothing in that direction."""

    value: float | None
    holds: bool = True


@dataclass(frozen=True)
class RatioRow:
    name: str
    cells: tuple[Cell, ...]
    is_one_figure: bool = False


def ratio_rows(ratios: Mapping[str, float], others: Mapping[str, float], tolerance: float) -> list[RatioRow]:
    rows = [
        RatioRow(words, tuple(_cell(_of(ratios, kind, direction), tolerance) for direction in DIRECTIONS))
        for kind, words in KINDS.items()
        if any(name.startswith(kind) for name in ratios)
    ]
    return rows + [RatioRow(name, (Cell(value),), is_one_figure=True) for name, value in others.items()]


def _of(ratios: Mapping[str, float], kind: str, direction: str) -> float | None:
    """Stiffness is compared once for ±45."""
    if kind in ("stretching", "bending"):
        direction = direction.lstrip("+-") if direction != "-45" else "45"
    return ratios.get(f"{kind} {direction}")


def _cell(value: float | None, tolerance: float) -> Cell:
    return Cell(value, value is None or value >= 1 - tolerance)
