"""Beside a fault of part of the width: which columns lie on which side of it, and blanks moved to the narrower side.

The search fills the widest clear part only. What lies beside the fault is cut off with it anyway, so every blank that
finds a place there is cut for nothing.
"""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.levels import Column, Level, Row, Task, column_across_mm, column_along_mm, row_along_mm

MOST_TRIES = 5_000


def shared_out(widths_mm: list[int], rooms_mm: list[int]) -> list[int] | None:
    """For each width the number of the room that it goes to, or None when they do not fit (or not found soon)."""
    order = sorted(range(len(widths_mm)), key=lambda at: -widths_mm[at])
    place, left, tries = [0] * len(widths_mm), list(rooms_mm), [MOST_TRIES]

    def put(at: int) -> bool:
        tries[0] -= 1
        if at == len(order):
            return True
        width_mm = widths_mm[order[at]]
        for room in range(len(left)):
            if width_mm <= left[room] and tries[0] > 0:
                place[order[at]] = room
                left[room] -= width_mm
                if put(at + 1):
                    return True
                left[room] += width_mm
        return False

    return place if put(0) else None


def rooms_mm(task: Task, stretch: int) -> list[int]:
    """Widths of the clear parts of a stretch, the one that the search fills first."""
    place = task.stretches[stretch]
    return [place.width_mm, *(width_mm for _, width_mm in place.sides)]


def tucked(task: Task, placements: list[Placement], over: Callable[[], bool] = lambda: False) -> list[Placement]:
    """The same blanks for less cloth, or more blanks: some lie on the narrower sides of faults, as time allows."""
    found = list(placements)
    if any(task.stretches[stretch].sides for _, stretch in placements):
        for type_ in _missing(task, placements):
            if over():
                break
            found = _with_blank(task, found, type_) or found
        while better := _one_level_shorter(task, found, over):
            found = better
    return found


def _missing(task: Task, placements: list[Placement]) -> list[int]:
    """The type of every blank that has no place, the largest first."""
    left = Counter(dict(enumerate(task.demand)))
    for level, _ in placements:
        left.subtract(dict(level.counts))
    return sorted((+left).elements(), key=lambda type_: -task.area_mm2(type_))


def _with_blank(task: Task, placements: list[Placement], type_: int) -> list[Placement] | None:
    hosts = list(range(len(placements)))
    ways = (_moved(task, placements, [(shape,)], hosts) for shape in task.shapes_of[type_])
    return next(filter(None, ways), None)


def _one_level_shorter(task: Task, placements: list[Placement], over: Callable[[], bool]) -> list[Placement] | None:
    for at in sorted(range(len(placements)), key=lambda at: task.price_mm2(*placements[at])):
        if over():
            return None
        level, stretch = placements[at]
        columns = sorted(level.columns, key=lambda column: -column_along_mm(task, column))
        hosts = [other for other in range(len(placements)) if other != at]
        for number in range(1, len(columns) + 1):
            rest = task.level(tuple(columns[number:]))
            rows = [row for column in columns[:number] for row in column]
            if rest.length_mm < level.length_mm and (moved := _moved(task, placements, rows, hosts)):
                moved[at] = (rest, stretch)
                return [placement for placement in moved if placement[0].columns]
    return None


def _moved(task: Task, placements: list[Placement], rows: list[Row], hosts: list[int]) -> list[Placement] | None:
    """The placements with all these rows put beside faults of the hosts, or None when one finds no place."""
    found = list(placements)
    for row in sorted(rows, key=lambda row: -row_along_mm(task, row)):
        for host in hosts:
            level, stretch = found[host]
            if task.stretches[stretch].sides and (fuller := _with_row(task, level, stretch, row)):
                found[host] = (fuller, stretch)
                break
        else:
            return None
    return found


def _with_row(task: Task, level: Level, stretch: int, row: Row) -> Level | None:
    """The level with the row in it, no longer than before, or None when the stretch has no room for that."""
    if not all(task.allowed[task.shapes[shape].type][stretch] for shape in row):
        return None
    for columns in _ways(task, level.columns, row):
        fuller = task.level(columns)
        widths_mm = [column_across_mm(task, column) for column in columns]
        if fuller.length_mm <= level.length_mm and shared_out(widths_mm, rooms_mm(task, stretch)):
            return replace(fuller, length_mm=level.length_mm)
    return None


def _ways(task: Task, columns: tuple[Column, ...], row: Row):
    if task.problem.stages > 2:
        for at, column in enumerate(columns):
            yield (*columns[:at], (*column, row), *columns[at + 1 :])
    yield (*columns, (row,))
