"""Problems for the planner's tests, as JSON: small ones by hand, and rectangles cut up at random."""

import random

from jobs.calc.cutting import Plan, Problem, plan_cuts
from tests.cutting_checker import errors

# Hopper and Turton 2001, EJOR 128:34-57, C1-P2: 17 blanks that fill a strip 20 wide and 20 long;
# one unit is 10 mm here.
C1_P2 = (
    (4, 1), (4, 5), (9, 4), (3, 5), (3, 9), (1, 4), (5, 3), (4, 1), (5, 5),
    (7, 2), (9, 3), (3, 13), (2, 8), (15, 4), (5, 4), (10, 6), (7, 2),
)  # fmt: skip

# Burke, Kendall and Whitwell 2004, Oper. Res. 52:655-671, N7: 70 blanks that fill a strip 80 wide and 100 long, most of
# them slivers beside two blanks of 82; one unit is 10 mm here.
N7 = (
    (6, 82), (3, 2), (3, 38), (19, 23), (7, 36), (46, 12), (3, 4), (3, 2), (2, 82), (3, 15), (3, 2), (3, 22),
    (2, 2), (3, 37), (2, 2), (2, 2), (3, 2), (3, 40), (6, 2), (7, 2), (7, 7), (2, 2), (18, 2), (13, 7), (2, 4),
    (2, 2), (8, 2), (3, 2), (28, 22), (22, 2), (3, 6), (2, 2), (37, 22), (24, 2), (13, 2), (11, 2), (4, 33),
    (9, 12), (5, 2), (25, 5), (2, 2), (2, 2), (3, 2), (2, 2), (3, 4), (3, 22), (9, 22), (3, 5), (3, 40),
    (3, 4), (8, 2), (3, 20), (2, 2), (2, 2), (3, 4), (2, 2), (3, 2), (23, 38), (2, 2), (11, 38), (4, 2),
    (12, 7), (2, 4), (3, 2), (3, 52), (3, 14), (3, 2), (18, 4), (19, 59), (23, 2),
)  # fmt: skip


def roll(**changes) -> dict:
    return {"id": "R1", "kind": "roll", "width_mm": 1000, "trim_mm": 0, "length_mm": 10_000, "faults": []} | changes


def blank(blank_id: str, across_mm: int, along_mm: int, **changes) -> dict:
    return {"id": blank_id, "across_mm": across_mm, "along_mm": along_mm, "count": 1, "turns": [0]} | changes


def problem(stock: list[dict], blanks: list[dict], **changes) -> dict:
    return {"name": "test", "stages": 3, "allowance_mm": 0, "stock": stock, "blanks": blanks} | changes


def planned(data: dict, **limits) -> Plan:
    """The plan of a problem, checked by the independent checker."""
    plan = plan_cuts(Problem.from_json(data), **({"work_limit": 30} | limits))
    assert errors(data, plan.to_json()) == []
    return plan


def published_c1_p2() -> dict:
    return _strip(C1_P2, width_mm=200)


def published_n7() -> dict:
    return _strip(N7, width_mm=800)


def _strip(sizes, width_mm: int) -> dict:
    blanks = [blank(f"B{n}", 10 * w, 10 * h, turns=[0, 90]) for n, (w, h) in enumerate(sizes)]
    return problem([roll(width_mm=width_mm, length_mm=None)], blanks)


def long_and_small() -> tuple[dict, int]:
    """Two stringers as long as the strip beside a panel and a pile of small blanks, and the mm of roll that it fills.

    The small blanks lie in rows beside the panel, so that three stages cannot do what four can.
    """
    blanks = [
        blank("stringer", 150, 3960, count=2),
        blank("panel", 910, 2360),
        blank("left", 400, 400, count=4),
        blank("right", 510, 400, count=4),
    ]
    return problem([roll(width_mm=1210, length_mm=None)], blanks), 3960


def cut_deep(seed: int, blanks: int = 29, side_mm: int = 2000) -> dict:
    """A square cut up by straight cuts of any number of stages, into more and more blanks: no waste, length side_mm."""
    chance = random.Random(seed)
    pieces = [(side_mm, side_mm)]
    while len(pieces) < blanks:
        pieces.sort(key=lambda piece: piece[0] * piece[1])
        across_mm, along_mm = pieces.pop(-1 - chance.randrange(min(3, len(pieces))))
        share = chance.uniform(0.25, 0.75)
        if chance.random() < across_mm / (across_mm + along_mm):
            part = 10 * round(across_mm * share / 10)
            pieces += [(part, along_mm), (across_mm - part, along_mm)]
        else:
            part = 10 * round(along_mm * share / 10)
            pieces += [(across_mm, part), (across_mm, along_mm - part)]
    chance.shuffle(pieces)
    return problem(
        [roll(width_mm=side_mm, length_mm=None)],
        [blank(f"B{n}", across, along, turns=[0, 90]) for n, (across, along) in enumerate(pieces)],
    )


def cut_up(seed: int, levels: int = 3, width_mm: int = 1000) -> tuple[dict, int]:
    """A problem made by cutting full strips in three stages without waste, and the mm of roll that it came from."""
    chance = random.Random(seed)
    blanks, length_mm = [], 0
    for _ in range(levels):
        level_mm = chance.randrange(300, 900, 10)
        length_mm += level_mm
        for across_mm in _parts(chance, width_mm, 200):
            for along_mm in _parts(chance, level_mm, 150):
                blanks.append(blank(f"B{len(blanks)}", across_mm, along_mm))
    return problem([roll(width_mm=width_mm, length_mm=None)], blanks), length_mm


def _parts(chance: random.Random, whole: int, least: int) -> list[int]:
    parts = []
    while whole >= 2 * least and chance.random() < 0.75:
        part = chance.randrange(least, whole - least + 1, 10)
        parts.append(part)
        whole -= part
    return [*parts, whole]


def shop_job(seed: int, kinds: int = 16, turned: bool = True) -> dict:
    """A job as a boat shop has it: panels, strips and patches from a roll with a fault, another roll and a remnant."""
    chance = random.Random(seed)
    stock = [
        roll(id="R1", width_mm=1270, trim_mm=20, length_mm=30_000, faults=[{"from_mm": 4000, "to_mm": 4200}]),
        roll(id="R2", width_mm=1000, trim_mm=10, length_mm=25_000),
        roll(id="R3", kind="remnant", width_mm=1270, trim_mm=0, length_mm=3_100),
    ]
    turns = [0, 90] if turned else [0]
    blanks = [
        blank(
            f"B{n}",
            chance.randrange(100, 900, 10),
            chance.randrange(150, 1500, 10),
            count=chance.randrange(1, 5),
            turns=turns,
        )
        for n in range(kinds)
    ]
    return problem(stock, blanks)
