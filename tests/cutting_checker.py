"""An independent check of cutting plans: reads problem and plan as plain JSON and shares no code with the planner.

errors(problem, plan) lists everything that is wrong. stages_needed(...) counts the cuts' stages of one strip.
"""

from collections import Counter, defaultdict

FOREVER = 10**12


def errors(problem: dict, plan: dict) -> list[str]:
    """Everything about the plan that a cutter could not or must not follow."""
    stock = {item["id"]: item for item in problem["stock"]}
    blanks = {item["id"]: item for item in problem["blanks"]}
    found = []
    for number, strip in enumerate(plan["strips"]):
        found += [f"strip {number}: {text}" for text in _strip_errors(problem, stock, blanks, strip)]
    found += _overlap_errors(plan)
    found += _count_errors(blanks, plan)
    found += _lot_errors(stock, blanks, plan)
    found += _wish_errors(problem, plan)
    found += _leftover_errors(problem, stock, plan)
    found += _sum_errors(stock, plan)
    return found


def _usable(item: dict) -> int:
    return item["width_mm"] - 2 * item.get("trim_mm", 0)


def _strip_errors(problem: dict, stock: dict, blanks: dict, strip: dict):
    item = stock.get(strip["stock"])
    if item is None:
        yield f"no stock {strip['stock']}"
        return
    low, high = strip["from_mm"], strip["from_mm"] + strip["length_mm"]
    if low < 0 or strip["length_mm"] <= 0 or high > (item.get("length_mm") or FOREVER):
        yield "off the roll"
    if not strip["blanks"]:
        yield "empty"
    gap = problem.get("allowance_mm", 0)
    boxes = []
    for placed in strip["blanks"]:
        yield from _blank_errors(item, blanks, strip, placed, gap)
        boxes.append(
            (placed["x_mm"], placed["y_mm"], placed["x_mm"] + placed["across_mm"], placed["y_mm"] + placed["along_mm"])
        )
    grown = [(x0, y0, x1 + gap, y1 + gap) for x0, y0, x1, y1 in boxes]
    for n, one in enumerate(grown):
        for other in grown[:n]:
            if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]:
                yield f"blanks overlap: {one} {other}"
    locked = (strip["stock"], low, strip["length_mm"])
    if len(_groups(grown, 1)) > 1 and locked not in _locked(problem):
        yield "is more than one strip: a straight cut across the roll parts it"
    for fault in item.get("faults") or ():
        if low < fault["to_mm"] and fault["from_mm"] < high:
            yield from _fault_errors(item, fault, strip, boxes)
    allowed = problem.get("stages", 3)
    needed = stages_needed(grown)
    if needed is None or needed > allowed:
        yield f"needs {needed} stages, {allowed} allowed"


def _fault_errors(item: dict, fault: dict, strip: dict, boxes: list):
    if fault.get("across_from_mm") is None:
        yield f"runs over the fault at {fault['from_mm']} mm"
        return
    left, right = fault["across_from_mm"] - item.get("trim_mm", 0), fault["across_to_mm"] - item.get("trim_mm", 0)
    for x0, y0, x1, y1 in boxes:
        along = strip["from_mm"] + y0 < fault["to_mm"] and fault["from_mm"] < strip["from_mm"] + y1
        if along and x0 < right and left < x1:
            yield f"a blank lies over the fault at {fault['from_mm']} mm"


def _blank_errors(item: dict, blanks: dict, strip: dict, placed: dict, gap: int):
    blank = blanks.get(placed["id"])
    if blank is None:
        yield f"unknown blank {placed['id']}"
        return
    turns = blank.get("turns", [0])
    turns = [0, 90] if turns in ("any", ["any"]) else turns
    size = (placed["across_mm"], placed["along_mm"])
    straight, crossed = (blank["across_mm"], blank["along_mm"]), (blank["along_mm"], blank["across_mm"])
    can_straight, can_cross = any(t % 180 == 0 for t in turns), any(t % 180 == 90 for t in turns)
    if placed["turned"]:
        if not (can_cross and size == crossed):
            yield f"{placed['id']} turned against its grain or of the wrong size"
    elif not (can_straight and size == straight):
        yield f"{placed['id']} of the wrong size"
    if placed["x_mm"] < 0 or placed["x_mm"] + placed["across_mm"] + gap > _usable(item):
        yield f"{placed['id']} over the edge"
    if placed["y_mm"] < 0 or placed["y_mm"] + placed["along_mm"] + gap > strip["length_mm"]:
        yield f"{placed['id']} over the end of its strip"


def _overlap_errors(plan: dict):
    last = {}
    for strip in plan["strips"]:
        if strip["from_mm"] < last.get(strip["stock"], 0):
            yield f"strips of {strip['stock']} overlap or are not in cutting order at {strip['from_mm']} mm"
        last[strip["stock"]] = strip["from_mm"] + strip["length_mm"]


def _count_errors(blanks: dict, plan: dict):
    have = Counter(placed["id"] for strip in plan["strips"] for placed in strip["blanks"])
    missing = Counter()
    for line in plan["unplaced"]:
        missing[line["id"]] += line["count"]
        if not line["reason"]:
            yield f"no reason for {line['id']}"
    for blank_id, blank in blanks.items():
        if have[blank_id] + missing[blank_id] != blank.get("count", 1):
            yield f"{blank_id}: {have[blank_id]} placed, {missing[blank_id]} unplaced, {blank.get('count', 1)} wanted"
    if (plan["status"] == "complete") != (not missing):
        yield f"status {plan['status']} with {sum(missing.values())} unplaced"


def _lot_errors(stock: dict, blanks: dict, plan: dict):
    lots = defaultdict(set)
    for strip in plan["strips"]:
        item = stock[strip["stock"]]
        for placed in strip["blanks"]:
            if group := blanks.get(placed["id"], {}).get("same_lot"):
                lots[group].add(("lot", item["lot"]) if item.get("lot") else ("roll", item["id"]))
    for group, used in lots.items():
        if len(used) > 1:
            yield f"{group} comes from {len(used)} lots"


def _locked(problem: dict) -> list[tuple]:
    return [(s["stock"], s["from_mm"], s["length_mm"]) for s in problem.get("locked_strips", ())]


def _wish_errors(problem: dict, plan: dict):
    locked = _locked(problem)
    there = {(s["stock"], s["from_mm"], s["length_mm"]): s for s in plan["strips"]}
    for key in locked:
        if key not in there:
            yield f"locked strip {key} is gone"
    pins = defaultdict(set)
    for pin in problem.get("pins", ()):
        pins[pin["blank"]].add(pin["stock"])
    for key, strip in there.items():
        if key in locked:
            continue
        if strip["stock"] in problem.get("forbidden", ()):
            yield f"{strip['stock']} is forbidden"
        for placed in strip["blanks"]:
            if placed["id"] in pins and strip["stock"] not in pins[placed["id"]]:
                yield f"{placed['id']} is pinned elsewhere"


def _leftover_errors(problem: dict, stock: dict, plan: dict):
    boxes = []
    for strip in plan["strips"]:
        for p in strip["blanks"]:
            y = strip["from_mm"] + p["y_mm"]
            boxes.append((strip["stock"], p["x_mm"], y, p["x_mm"] + p["across_mm"], y + p["along_mm"]))
    least_length, least_width = (
        problem.get("smallest_offcut_length_mm", 500),
        problem.get("smallest_offcut_width_mm", 300),
    )
    for piece in plan["offcuts"] + plan["dead_ends"]:
        x_mm, y_mm = piece["x_mm"], piece["from_mm"]
        box = (x_mm, y_mm, x_mm + piece["width_mm"], y_mm + piece["length_mm"])
        item = stock[piece["stock"]]
        if box[0] < 0 or box[2] > _usable(item) or box[3] > (item.get("length_mm") or FOREVER):
            yield f"leftover off the roll: {piece}"
        for name, x0, y0, x1, y1 in boxes:
            if name == piece["stock"] and x0 < box[2] and box[0] < x1 and y0 < box[3] and box[1] < y1:
                yield f"leftover overlaps a blank or another: {piece}"
        boxes.append((piece["stock"], *box))
        keep = piece["length_mm"] >= least_length and piece["width_mm"] >= least_width
        if keep != (piece in plan["offcuts"]):
            yield f"leftover in the wrong list: {piece}"


def _sum_errors(stock: dict, plan: dict):
    cloth = sum(strip["length_mm"] * _usable(stock[strip["stock"]]) for strip in plan["strips"])
    if cloth != plan["cloth_mm2"]:
        yield f"cloth is {cloth}, the plan says {plan['cloth_mm2']}"
    if plan["status"] == "complete":
        if plan["bound_mm2"] > cloth:
            yield f"bound {plan['bound_mm2']} is above the cloth {cloth}"
        if (plan.get("staged_bound_mm2") or 0) > cloth:
            yield f"bound within the stages {plan['staged_bound_mm2']} is above the cloth {cloth}"
        if plan["proved"] != (plan["bound_mm2"] >= cloth):
            yield "proved does not match the bound"
        if cloth and abs(plan["gap"] - (cloth / plan["bound_mm2"] - 1)) > 1e-9:
            yield "gap does not match the bound"


def stages_needed(boxes: list[tuple[int, int, int, int]], most: int = 12) -> int | None:
    """Stages to part these boxes of one strip (the strip's own cross-cut is the first); None when no such cuts exist.

    A last cut that only trims a single box to size is not counted.
    """
    return _stages(boxes, 1, 0, most)


def _stages(boxes, stage: int, axis: int, most: int) -> int | None:
    if len(boxes) <= 1:
        return stage
    if stage >= most:
        return None
    groups = _groups(boxes, axis)
    if len(groups) == 1:
        if len(_groups(boxes, 1 - axis)) == 1:
            return None
        return _stages(boxes, stage + 1, 1 - axis, most)
    needed = [_stages(group, stage + 1, 1 - axis, most) for group in groups]
    return None if None in needed else max(needed)


def _groups(boxes, axis: int) -> list[list]:
    """Boxes split wherever a straight cut across the axis meets none of them."""
    groups, reach = [], None
    for box in sorted(boxes, key=lambda box: box[axis]):
        if reach is None or box[axis] >= reach:
            groups.append([])
            reach = box[axis + 2]
        groups[-1].append(box)
        reach = max(reach, box[axis + 2])
    return groups
