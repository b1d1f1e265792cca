"""A lay-up as a short text for an address: `12:0x3_7:45x1` is three plies of fabric 12 along, one of 7 at ±45."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from shopstock.models import Reinforcement

from .models import Ply

MOST_PLIES = 40
_ITEM = re.compile(r"(?P<fabric>\d{1,9}):(?P<direction>[^x]{1,3})x(?P<times>\d{1,2})")


class LayUpTextError(ValueError):
    """An address that names no lay-up."""


@dataclass(frozen=True)
class LaidFabric:
    """One ply: a fabric of the catalogue and the direction in which it is laid."""

    fabric: Reinforcement
    direction: str

    @property
    def words(self) -> str:
        if self.direction == Ply.Direction.ANY:
            return self.fabric.name
        return f"{self.fabric.name} at {Ply.Direction(self.direction).short}"


def written(plies: Sequence[LaidFabric]) -> str:
    runs = groupby(plies, key=lambda ply: (ply.fabric.pk, ply.direction))
    return "_".join(f"{pk}:{direction}x{len(list(run))}" for (pk, direction), run in runs)


def read(text: str) -> list[LaidFabric]:
    """Raises LayUpTextError."""
    items = [_ITEM.fullmatch(item) for item in text.split("_")]
    if not all(items) or any(item["direction"] not in Ply.Direction.values for item in items):
        raise LayUpTextError("This address names no lay-up. Choose again from the list.")
    fabrics = Reinforcement.objects.prefetch_related("layers").in_bulk([int(item["fabric"]) for item in items])
    if any(int(item["fabric"]) not in fabrics for item in items):
        raise LayUpTextError("A fabric of this lay-up is not in the catalogue any more. Choose again.")
    plies = [
        LaidFabric(fabrics[int(item["fabric"])], item["direction"]) for item in items for _ in range(int(item["times"]))
    ]
    if not 0 < len(plies) <= MOST_PLIES:
        raise LayUpTextError(f"A lay-up here has 1 to {MOST_PLIES} plies. Choose again.")
    return plies


def in_words(plies: Sequence[LaidFabric]) -> str:
    """Mould side first. Worked: mat 450 / 2 × roving 600 at 0° / mat 450."""
    runs = [(words, len(list(run))) for words, run in groupby(ply.words for ply in plies)]
    return " / ".join(words if times == 1 else f"{times} × {words}" for words, times in runs)
