"""Rows for the fourth stage: blanks of about the same length side by side, so that one column can hold them as one."""

from jobs.calc.cutting.levels import Row, Task

MOST_ROWS = 160
MOST_WASTE = 0.3


def rows_of(task: Task) -> tuple[Row, ...]:
    """Every single shape, and with a fourth stage the rows of two or three that waste least."""
    single = [(index,) for index in range(len(task.shapes))]
    if task.problem.stages < 4:
        return tuple(single)
    widest_mm = max((stretch.width_mm for stretch in task.stretches), default=0)
    pairs = _wider(task, single, widest_mm)
    return tuple(single + pairs + _wider(task, pairs, widest_mm)[: MOST_ROWS // 2])


def _wider(task: Task, rows: list[Row], widest_mm: int) -> list[Row]:
    """The rows with one more shape beside, the least wasteful first."""
    found = {}
    for row in rows[:MOST_ROWS]:
        for index in range(len(task.shapes)):
            wider = tuple(sorted((*row, index)))
            waste = _waste(task, wider, widest_mm)
            if waste < MOST_WASTE:
                found[wider] = waste
    return sorted(found, key=lambda row: (found[row], row))[:MOST_ROWS]


def _waste(task: Task, row: Row, widest_mm: int) -> float:
    shapes = [task.shapes[index] for index in row]
    types = [shape.type for shape in shapes]
    if any(types.count(type_) > task.demand[type_] for type_ in types):
        return 1.0
    across_mm = sum(shape.across_mm for shape in shapes)
    if across_mm > widest_mm:
        return 1.0
    area_mm2 = sum(shape.across_mm * shape.along_mm for shape in shapes)
    return 1 - area_mm2 / (across_mm * max(shape.along_mm for shape in shapes))
