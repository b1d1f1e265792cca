"""Compare our laminate stiffness with an independent library on 200 random stacks. Opt-in; needs that library.

    python3 -m venv elsewhere && elsewhere/bin/pip install numpy composites==0.10.1
    elsewhere/bin/python tests/bench/compare_laminate_library.py [--freeze]

Keep it in an environment of its own, away from the program's. It prints the largest difference of A, B and D, over the
largest entry of the matrix, and fails above 1e-9. --freeze writes the library's figures of the first 20 stacks to
tests/jobs/calc/library_stacks.json, which the test suite compares with at every run.
"""

import argparse
import json
import random
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402 - the path above must be set first

from jobs.calc.laminate_stiffness import StiffPly, laminate_stiffness  # noqa: E402
from jobs.calc.stiffness import Lamina, reduced_stiffness, turned_stiffness  # noqa: E402

FROZEN = ROOT / "tests" / "jobs" / "calc" / "library_stacks.json"
STACKS, KEPT, SEED, MOST = 200, 20, 2026, 1e-9


def random_stacks() -> list[list[dict]]:
    chance = random.Random(SEED)
    return [[_random_ply(chance) for _ in range(chance.randint(1, 12))] for _ in range(STACKS)]


def _random_ply(chance: random.Random) -> dict:
    along = chance.uniform(5_000, 200_000)
    across = chance.uniform(0.05, 1.0) * along
    return {
        "along": along,
        "across": across,
        "shear": chance.uniform(1_000, 30_000),
        "poisson": chance.uniform(0.05, 0.4),
        "thickness_mm": chance.uniform(0.1, 2.0),
        "angle_deg": chance.choice([0, 90, 45, -45, chance.uniform(-90, 90)]),
    }


def ours(stack: list[dict]) -> dict[str, np.ndarray]:
    plies = []
    for ply in stack:
        lamina = Lamina(ply["along"], ply["across"], ply["shear"], ply["poisson"])
        stiffness = turned_stiffness(reduced_stiffness(lamina), ply["angle_deg"])
        plies.append(StiffPly(stiffness, ply["thickness_mm"]))
    found = laminate_stiffness(plies)
    return {"A": found.a, "B": found.b, "D": found.d}


def theirs(stack: list[dict]) -> dict[str, np.ndarray]:
    from composites import laminated_plate  # only here: the suite imports this file without the library

    figures = ("along", "across", "poisson", "shear", "shear", "shear")
    plate = laminated_plate(
        stack=[ply["angle_deg"] for ply in stack],
        plyts=[ply["thickness_mm"] for ply in stack],
        laminaprops=[tuple(ply[name] for name in figures) for ply in stack],
    )
    return {name: np.array(getattr(plate, name)) for name in ("A", "B", "D")}


def difference(one: dict[str, np.ndarray], other: dict[str, np.ndarray], stack: list[dict]) -> float:
    """The largest difference of any entry, over the largest of its matrix (B: over that of A times the thickness)."""
    height = sum(ply["thickness_mm"] for ply in stack)
    scale = {"A": np.abs(other["A"]).max(), "B": np.abs(other["A"]).max() * height, "D": np.abs(other["D"]).max()}
    return max(float(np.abs(np.array(one[name]) - np.array(other[name])).max() / scale[name]) for name in scale)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--freeze", action="store_true")
    freeze = parser.parse_args().freeze
    stacks = random_stacks()
    figures = [theirs(stack) for stack in stacks]
    worst = max(difference(ours(stack), found, stack) for stack, found in zip(stacks, figures, strict=True))
    print(f"{len(stacks)} stacks, largest difference {worst:.1e}")
    if freeze:
        rows = [
            {"stack": stack, **{name: matrix.tolist() for name, matrix in found.items()}}
            for stack, found in list(zip(stacks, figures, strict=True))[:KEPT]
        ]
        FROZEN.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
    return 0 if worst <= MOST else 1


if __name__ == "__main__":
    sys.exit(main())
