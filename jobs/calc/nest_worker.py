"""The child process of the nesting: reads one question as JSON, writes one answer; what goes wrong ends only it."""

import json
import sys
from math import cos, radians, sin

MOST_BYTES = 2 * 1024**3


def main() -> None:
    _limit_memory()
    import spyrrow  # ends the process on some bad shapes, which is why it runs in one of its own

    question = json.load(sys.stdin)
    shapes = {shape["id"]: [tuple(map(float, corner)) for corner in shape["corners"]] for shape in question["shapes"]}
    items = [
        spyrrow.Item(shape["id"], shapes[shape["id"]], shape["count"], [float(turn) for turn in shape["turns"]])
        for shape in question["shapes"]
    ]
    config = spyrrow.StripPackingConfig(
        total_computation_time=max(1, int(question["seconds"])),
        min_items_separation=question["gap_mm"] or None,
        num_workers=question["workers"],
        seed=question["seed"],
    )
    found = spyrrow.StripPackingInstance("ply", float(question["width_mm"]), items).solve(config)
    placed = [
        {"id": item.id, "turn": round(item.rotation) % 360, "corners": _placed(shapes[item.id], item)}
        for item in found.placed_items
    ]
    json.dump({"length_mm": found.width, "placed": placed}, sys.stdout)


def _placed(corners, item) -> list[tuple[float, float]]:
    turn, (shift_x, shift_y) = radians(item.rotation), item.translation
    return [(x * cos(turn) - y * sin(turn) + shift_x, x * sin(turn) + y * cos(turn) + shift_y) for x, y in corners]


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # Windows has no such limit; the parent's clock still holds
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


if __name__ == "__main__":
    main()
