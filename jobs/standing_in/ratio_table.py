"""Ratios of a comparison as a table: a row a kind of figure, a column a direction."""

from collections.abc import Mapping
from dataclasses import dataclass

DIRECTIONS = ("0", "90", "+45", "-45")
OTHERS = ("thickness", "mass", "resin", "cost")
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
    holds: bool


@dataclass(frozen=True)
class RatioRow:
    name: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class RatioTable:
    """Ratios by direction, and those that have none: thickness, mass, resin, cost.

    Of the cloth: cut off in m², and how much of that is waste in per cent; None in records older than these.
    """

    rows: tuple[RatioRow, ...]
    others: tuple[tuple[str, float], ...]
    taken_m2: float | None
    waste_percent: float | None


def ratio_table(ratios: Mapping[str, float], others: Mapping[str, float], tolerance: float) -> RatioTable:
    rows = tuple(
        RatioRow(words, tuple(_cell(_of(ratios, kind, direction), tolerance) for direction in DIRECTIONS))
        for kind, words in KINDS.items()
        if any(name.startswith(kind) for name in ratios)
    )
    shown = tuple((name, others[name]) for name in OTHERS if name in others)
    return RatioTable(rows, shown, others.get("taken_m2"), others.get("waste_percent"))


def _of(ratios: Mapping[str, float], kind: str, direction: str) -> float | None:
    """Stiffness is compared once for ±45."""
    if kind in ("stretching", "bending"):
        direction = direction.lstrip("+-")
    return ratios.get(f"{kind} {direction}")


def _cell(value: float | None, tolerance: float) -> Cell:
    return Cell(value, value is None or value >= 1 - tolerance)
