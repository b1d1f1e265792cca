"""Longest-first first-fit: how a careful cutter works by hand, and the plan every better one is measured against."""

from jobs.calc.cutting.levels import Level, Shape, Task

Placement = tuple[Level, int]


class _OpenLevel:
    """A level that is still being filled: columns of [across, along used, shapes]."""

    def __init__(self, stretch: int, width_mm: int, length_mm: int):
        self.stretch = stretch
        self.spare_mm = width_mm
        self.length_mm = length_mm
        self.columns: list[list] = []

    def take(self, index: int, shape: Shape, stacking: bool) -> bool:
        if stacking:
            for column in self.columns:
                if shape.across_mm <= column[0] and column[1] + shape.along_mm <= self.length_mm:
                    column[1] += shape.along_mm
                    column[2].append(index)
                    return True
        if shape.across_mm > self.spare_mm or shape.along_mm > self.length_mm:
            return False
        self.spare_mm -= shape.across_mm
        self.columns.append([shape.across_mm, shape.along_mm, [index]])
        return True


def first_fit(task: Task, *, stacking: bool = True) -> tuple[list[Placement], dict[int, int]]:
    """Levels and their stretches, and how many of each type found no place."""
    spare_mm = [stretch.length_mm for stretch in task.stretches]
    levels: list[_OpenLevel] = []
    unplaced: dict[int, int] = {}
    for type_ in sorted(task.types, key=lambda t: _order(task, t), reverse=True):
        placed = _place_all(task, type_, levels, spare_mm, stacking)
        if placed < task.demand[type_]:
            unplaced[type_] = task.demand[type_] - placed
    return [(_closed(task, level), level.stretch) for level in levels], unplaced


def _order(task: Task, type_: int) -> tuple[int, int]:
    shape = task.shapes[task.shapes_of[type_][0]]
    return shape.along_mm, shape.across_mm


def _place_all(task: Task, type_: int, levels: list[_OpenLevel], spare_mm: list[int], stacking: bool) -> int:
    """How many of one type find a place. A level only fills: what it refused once it refuses for good."""
    first = 0
    for placed in range(task.demand[type_]):
        at = _place(task, type_, levels, first, spare_mm, stacking)
        if at is None:
            return placed
        first = at
    return task.demand[type_]


def _place(
    task: Task, type_: int, levels: list[_OpenLevel], first: int, spare_mm: list[int], stacking: bool
) -> int | None:
    """The level, from the `first` on, that took one more; None when neither a level nor a stretch can."""
    for at in range(first, len(levels)):
        level = levels[at]
        if task.allowed[type_][level.stretch]:
            for index in task.shapes_of[type_]:
                if level.take(index, task.shapes[index], stacking):
                    return at
    for stretch, place in enumerate(task.stretches):
        if task.allowed[type_][stretch]:
            for index in task.shapes_of[type_]:
                shape = task.shapes[index]
                if shape.along_mm <= spare_mm[stretch] and shape.across_mm <= place.width_mm:
                    spare_mm[stretch] -= shape.along_mm
                    levels.append(_OpenLevel(stretch, place.width_mm, shape.along_mm))
                    levels[-1].take(index, shape, stacking)
                    return len(levels) - 1
    return None


def _closed(task: Task, level: _OpenLevel) -> Level:
    return task.level(tuple(tuple((index,) for index in column[2]) for column in level.columns))
