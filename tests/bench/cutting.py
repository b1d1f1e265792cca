"""The cutting planner against first-fit and a packing library's whole sweep, on every problem of a folder.

    python tests/bench/cutting.py DIR [--seconds S] [--workers N] [--stages K] [--only NAME ...] [--no-sweep]
    python tests/bench/cutting.py --short      problems made here, no folder, within a minute

Each plan is checked by the independent checker. The bound column is the larger of the planner's own bound and the
problem's known_length_mm. The sweep (rectpack, every guillotine algorithm and sort, both orders of rolls) is held to no
number of stages: it may use cuts that a person at a table cannot follow. Without the library the column stays empty.
"""

import argparse
import json
import platform
import statistics
import sys
import time
from datetime import UTC, datetime
from importlib.util import find_spec
from itertools import product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from jobs.calc.cutting import Problem, plan_cuts
from jobs.calc.cutting.first_fit import first_fit
from jobs.calc.cutting.levels import Task, make_task
from tests.cutting_checker import errors, stages_needed
from tests.jobs.calc.cutting.problems import cut_up, published_c1_p2, shop_job

LONGEST_SWEEP_SECONDS = 60
SHORT_SECONDS, SHORT_SWEEP_SECONDS = 2.5, 2.0


def main() -> int:
    options = _options()
    if not options.no_sweep and find_spec("rectpack") is None:
        options.no_sweep = True
        print("the packing library is not installed (pip install -e '.[bench]'): its sweep is left out")
    print(f"{platform.machine()}, Python {platform.python_version()}, {datetime.now(UTC):%Y-%m-%d}, "
          f"{options.seconds:g} s, {options.workers} processes")  # fmt: skip
    print(f"{'problem':10}{'bound m²':>10}{'ours m²':>10}{'gap %':>8}{'stages':>7}{'s':>6}{'first s':>8}"
          f"{'first-fit %':>12}{'sweep %':>9}")  # fmt: skip
    rows = [_measure(name, data, options) for name, data in _problems(options)]
    _summary("jobs", [row for row in rows if row["job"]])
    _summary("strips", [row for row in rows if not row["job"]])
    return 1 if any(row["wrong"] for row in rows) else 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path, nargs="?")
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--stages", type=int)
    parser.add_argument("--only", nargs="*")
    parser.add_argument("--no-sweep", action="store_true")
    options = parser.parse_args()
    if (options.folder is None) != options.short:
        parser.error("give a folder of problems or --short, one of the two")
    options.seconds = options.seconds or (SHORT_SECONDS if options.short else 5.0)
    options.longest_sweep = SHORT_SWEEP_SECONDS if options.short else LONGEST_SWEEP_SECONDS
    return options


def _problems(options: argparse.Namespace) -> list[tuple[str, dict]]:
    if options.short:
        found = _short_problems()
    else:
        found = [(file.stem, json.loads(file.read_text())) for file in sorted(options.folder.glob("*.json"))]
    return [(name, data) for name, data in found if not options.only or name in options.only]


def _short_problems() -> list[tuple[str, dict]]:
    """Four jobs of a shop, three strips cut up without waste and a published strip: small, and the same every time."""
    found = [(f"job {seed}", shop_job(seed, kinds=10 + 4 * seed, turned=seed % 2 == 0)) for seed in range(4)]
    for seed in range(3):
        data, length_mm = cut_up(seed, levels=4)
        found.append((f"cut up {seed}", data | {"known_length_mm": length_mm}))
    return [*found, ("C1-P2", published_c1_p2() | {"known_length_mm": 200})]


def _measure(name: str, data: dict, options: argparse.Namespace) -> dict:
    if options.stages:
        data = data | {"stages": options.stages}
    problem, shown = Problem.from_json(data), []
    started = time.monotonic()
    plan = plan_cuts(
        problem,
        seconds=options.seconds,
        workers=options.workers,
        on_better=lambda better: shown.append(time.monotonic() - started),
    )
    wrong = errors(data, plan.to_json())
    task = make_task(problem)
    bound = plan.bound_mm2
    if data.get("known_length_mm"):
        bound = max(bound, data["known_length_mm"] * problem.stock[0].usable_width_mm)
    row = {
        "name": name,
        "job": len(problem.stock) > 1,
        "bound": bound,
        "cloth": plan.cloth_mm2 if plan.complete else None,
        "stages": max((_stages(problem, strip) for strip in plan.strips), default=0),
        "seconds": plan.seconds,
        "first": shown[0],
        "first_fit": _first_fit_cloth(task),
        "sweep": None if options.no_sweep else sweep(task, options.longest_sweep),
        "swept": not options.no_sweep,
        "wrong": wrong,
    }
    _print(row)
    return row


def _stages(problem: Problem, strip) -> int:
    gap = problem.allowance_mm
    boxes = [(b.x_mm, b.y_mm, b.x_mm + b.across_mm + gap, b.y_mm + b.along_mm + gap) for b in strip.blanks]
    return stages_needed(boxes) or 99


def _first_fit_cloth(task: Task) -> int | None:
    placements, missing = first_fit(task, stacking=False)
    return None if missing else sum(task.price_mm2(level, stretch) for level, stretch in placements)


def _over(cloth: int | None, bound: int) -> str:
    return "fails" if cloth is None else f"{100 * (cloth / bound - 1):.2f}"


def _print(row: dict) -> None:
    cloth = f"{row['cloth'] / 1e6:.3f}" if row["cloth"] else "short"
    print(
        f"{row['name']:10}{row['bound'] / 1e6:10.3f}{cloth:>10}{_over(row['cloth'], row['bound']):>8}{row['stages']:7}"
        f"{row['seconds']:6.1f}{row['first']:8.2f}{_over(row['first_fit'], row['bound']):>12}"
        f"{_over(row['sweep'], row['bound']) if row['swept'] else '-':>9}",
        flush=True,
    )
    for line in row["wrong"]:
        print(f"    WRONG: {line}")


def _summary(name: str, rows: list[dict]) -> None:
    gaps = [100 * (row["cloth"] / row["bound"] - 1) for row in rows if row["cloth"]]
    if not gaps:
        return
    middle, mean = statistics.median(gaps), statistics.mean(gaps)
    print(f"{name}: gap median {middle:.2f} %, mean {mean:.2f} %, worst {max(gaps):.2f} %")
    for other in ("first_fit", "sweep"):
        ratios = [row["cloth"] / row[other] for row in rows if row["cloth"] and row[other]]
        if ratios:
            less = 100 * (1 - statistics.median(ratios))
            print(f"{name}: cloth less than {other.replace('_', '-')} by {less:.1f} % (median of {len(ratios)})")


def sweep(task: Task, seconds: float) -> int | None:
    """The least cloth of the packing library over all its guillotine algorithms, sorts and orders of rolls."""
    import rectpack
    from rectpack import guillotine

    packers = [
        getattr(guillotine, name) for name in dir(guillotine) if name.startswith("GuillotineB") and name.endswith("as")
    ]
    sorts = [getattr(rectpack, name) for name in dir(rectpack) if name.startswith("SORT_") and name != "SORT_NONE"]
    best, end = None, time.monotonic() + seconds
    for packer, sort, backwards in product(packers, sorts, (False, True)):
        if time.monotonic() > end:
            break
        cloth = _swept(task, packer, sort, backwards)
        if cloth is not None and (best is None or cloth < best):
            best = cloth
    if len(task.stretches) == 1 and best is not None:
        best = _lowered(task, packers, sorts, best, end)
    return best


def _swept(task: Task, packer, sort, backwards: bool, longest_mm: int | None = None) -> int | None:
    import rectpack

    turns = any(len(shapes) > 1 for shapes in task.shapes_of)
    mode, bins = rectpack.PackingMode.Offline, rectpack.PackingBin.BBF
    work = rectpack.newPacker(mode=mode, bin_algo=bins, pack_algo=packer, sort_algo=sort, rotation=turns)
    for type_ in task.types:
        shape = task.shapes[task.shapes_of[type_][0]]
        for _ in range(task.demand[type_]):
            work.add_rect(shape.across_mm, shape.along_mm)
    order = list(range(len(task.stretches)))
    for number in reversed(order) if backwards else order:
        stretch = task.stretches[number]
        work.add_bin(stretch.width_mm, min(longest_mm or stretch.length_mm, stretch.length_mm), bid=number)
    work.pack()
    if len(work.rect_list()) < sum(task.demand):
        return None
    return sum(max(r.y + r.height for r in shelf) * task.stretches[shelf.bid].cloth_width_mm for shelf in work)


def _lowered(task: Task, packers, sorts, best: int, end: float) -> int:
    """Lower a single strip's end as long as any algorithm still fits everything below it."""
    width_mm = task.stretches[0].cloth_width_mm
    step_mm = max(1, best // width_mm // 200)
    while time.monotonic() < end:
        found = [
            cloth
            for packer, sort in product(packers, sorts)
            if (cloth := _swept(task, packer, sort, False, best // width_mm - step_mm)) is not None
        ]
        if not found:
            return best
        best = min(found)
    return best


if __name__ == "__main__":
    sys.exit(main())
