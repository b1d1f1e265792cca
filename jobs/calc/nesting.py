"""Outlines nested on one clean stretch of a roll, by a packing library in a child process with a hard limit."""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from .outline import Corners

PACKAGE_ROOT = Path(__file__).resolve().parents[2]
START_SECONDS = 5
OVERLAP_MM2 = 1.0
EDGE_MM = 0.5


@dataclass(frozen=True)
class Shape:
    """One kind of outline, how many of it, and the quarter turns it may take (degrees in its plane)."""

    id: str
    corners: Corners
    count: int
    turns: tuple[int, ...] = (0, 180)


@dataclass(frozen=True)
class Nested:
    """One outline in its place: its corners in mm along the stretch from its start, and across from its edge."""

    id: str
    corners: tuple[tuple[float, float], ...]
    turn: int


@dataclass(frozen=True)
class Nest:
    length_mm: float
    placed: tuple[Nested, ...]


def nest(
    shapes: Sequence[Shape], width_mm: int, *, seconds: int, gap_mm: float = 0.0, seed: int = 0, workers: int = 1
) -> Nest | None:
    """Nest outlines on a stretch ``width_mm`` wide in about so many ``seconds``; None when nothing right came of it.

    Lengths in mm; ``gap_mm`` stays between any two. Every answer is checked here for overlaps and edges before it is
    given out. Worked: two right triangles 300 × 200 on 210 mm take no more than 310 mm.
    """
    question = {
        "width_mm": width_mm,
        "seconds": seconds,
        "gap_mm": gap_mm,
        "seed": seed,
        "workers": workers,
        "shapes": [
            {"id": shape.id, "corners": shape.corners, "count": shape.count, "turns": shape.turns} for shape in shapes
        ],
    }
    answer = _asked(question, 1.5 * seconds + START_SECONDS)
    if answer is None:
        return None
    found = Nest(
        answer["length_mm"],
        tuple(Nested(p["id"], tuple(map(tuple, p["corners"])), p["turn"]) for p in answer["placed"]),
    )
    return found if is_right(found, shapes, width_mm) else None


def _asked(question: dict, limit_seconds: float) -> dict | None:
    path = os.pathsep.join(filter(None, [str(PACKAGE_ROOT), os.environ.get("PYTHONPATH")]))
    try:
        done = subprocess.run(
            [sys.executable, "-m", "jobs.calc.nest_worker"],
            input=json.dumps(question),
            capture_output=True,
            text=True,
            timeout=limit_seconds,
            env={**os.environ, "PYTHONPATH": path},
        )
    except (subprocess.TimeoutExpired, OSError):
        return None
    return json.loads(done.stdout) if done.returncode == 0 else None


def is_right(found: Nest, shapes: Sequence[Shape], width_mm: int) -> bool:
    """Whether every outline is there as often as wanted, inside the stretch, over no other, and of its own size."""
    from shapely.geometry import Polygon

    wanted = {shape.id: shape for shape in shapes}
    polygons = [Polygon(item.corners) for item in found.placed]
    counts = {shape.id: sum(item.id == shape.id for item in found.placed) for shape in shapes}
    if any(counts[shape.id] != shape.count for shape in shapes) or len(polygons) != sum(counts.values()):
        return False
    for item, polygon in zip(found.placed, polygons, strict=True):
        low_x, low_y, high_x, high_y = polygon.bounds
        if min(low_x, low_y) < -EDGE_MM or high_x > found.length_mm + EDGE_MM or high_y > width_mm + EDGE_MM:
            return False
        if abs(polygon.area - Polygon(wanted[item.id].corners).area) > 1.0:
            return False
    return all(one.intersection(other).area <= OVERLAP_MM2 for one, other in combinations(polygons, 2))
