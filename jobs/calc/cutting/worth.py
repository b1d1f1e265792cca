"""Which of two plans with the same cloth is better: dead ends, rolls touched, remnants finished, long ends, cuts."""

from collections import Counter

from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.levels import Task

Worth = tuple[float, ...]
MOST_PASSES = 4
MOST_TRIES = 20_000


def worth(task: Task, placements: list[Placement]) -> Worth:
    """Smaller is better, the first difference decides.

    mm² of cloth with the opening charges, mm² of dead ends, rolls touched, mm² not taken from remnants and offcuts,
    cloth by order of preference, minus the squared lengths of what stays (one long end beats two short), columns.
    """
    used_mm = [0] * len(task.stretches)
    for level, stretch in placements:
        used_mm[stretch] += level.length_mm
    return (*_worth_of_ends(task, used_mm), sum(len(level.columns) for level, _ in placements))


def opening_mm2(task: Task, placements: list[Placement]) -> int:
    """The charges in mm² of the rolls that are opened."""
    charge_mm2 = task.problem.opening_charge_mm2
    if not charge_mm2:
        return 0
    marked = {strip.stock for strip in task.problem.locked_strips}
    rolls = {task.stretches[at].stock.id for _, at in placements if task.stretches[at].stock.kind == "roll"}
    return charge_mm2 * len(rolls - marked)


def _worth_of_ends(task: Task, used_mm: list[int]) -> Worth:
    problem, touched = task.problem, {strip.stock for strip in task.problem.locked_strips}
    opened = len(touched)
    cloth = dead = fresh = wish = 0
    long_ends = 0.0
    for number, stretch in enumerate(task.stretches):
        rest_mm = stretch.length_mm - used_mm[number]
        if used_mm[number]:
            cloth += used_mm[number] * task.price_mm[number]
            if stretch.stock.id not in touched:
                touched.add(stretch.stock.id)
                opened += stretch.stock.kind == "roll"
            fresh += used_mm[number] * stretch.cloth_width_mm * (stretch.stock.kind == "roll")
            wish += used_mm[number] * stretch.cloth_width_mm * stretch.stock.preference
            if rest_mm < problem.smallest_offcut_length_mm:
                dead += rest_mm * stretch.width_mm
        if stretch.stock.length_mm is not None:
            long_ends += float(rest_mm) ** 2 * stretch.width_mm
    return cloth + problem.opening_charge_mm2 * opened, dead, len(touched), fresh, wish, -long_ends


def settled(task: Task, placements: list[Placement]) -> list[Placement]:
    """The same levels, moved and swapped between stretches as long as the plan is worth more for it."""
    place = [stretch for _, stretch in placements]
    levels = [level for level, _ in placements]
    used_mm = [0] * len(task.stretches)
    for level, stretch in placements:
        used_mm[stretch] += level.length_mm
    now = _worth_of_ends(task, used_mm)
    tries = Counter(left=MOST_TRIES)
    for _ in range(MOST_PASSES):
        before = now
        for one in range(len(levels)):
            now = _move(task, levels, place, used_mm, one, now, tries)
            now = _swap(task, levels, place, used_mm, one, now, tries)
        if now == before or tries["left"] <= 0:
            break
    return list(zip(levels, place, strict=True))


def _move(task: Task, levels, place, used_mm, one: int, now: Worth, tries: Counter) -> Worth:
    length_mm = levels[one].length_mm
    for to in range(len(task.stretches)):
        at = place[one]
        if to == at or used_mm[to] + length_mm > task.stretches[to].length_mm or not task.may_hold(levels[one], to):
            continue
        if _spent(tries):
            break
        used_mm[at] -= length_mm
        used_mm[to] += length_mm
        then = _worth_of_ends(task, used_mm)
        if then < now:
            place[one], now = to, then
        else:
            used_mm[at] += length_mm
            used_mm[to] -= length_mm
    return now


def _swap(task: Task, levels, place, used_mm, one: int, now: Worth, tries: Counter) -> Worth:
    for other in range(one):
        here, there = place[one], place[other]
        more_mm = levels[other].length_mm - levels[one].length_mm
        if here == there or more_mm == 0 or not _fit(task, used_mm, here, there, more_mm):
            continue
        if not (task.may_hold(levels[one], there) and task.may_hold(levels[other], here)):
            continue
        if _spent(tries):
            break
        used_mm[here] += more_mm
        used_mm[there] -= more_mm
        then = _worth_of_ends(task, used_mm)
        if then < now:
            place[one], place[other], now = there, here, then
        else:
            used_mm[here] -= more_mm
            used_mm[there] += more_mm
    return now


def _spent(tries: Counter) -> bool:
    """Counts a try; in the largest jobs not every move can be tried."""
    tries["left"] -= 1
    return tries["left"] < 0


def _fit(task: Task, used_mm, here: int, there: int, more_mm: int) -> bool:
    return (
        used_mm[here] + more_mm <= task.stretches[here].length_mm
        and used_mm[there] - more_mm <= task.stretches[there].length_mm
    )
