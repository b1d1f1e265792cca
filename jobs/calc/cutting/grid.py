"""The grid that the filling works on: every way a blank (or a row of blanks) may lie, widths ascending, in arrays."""

from dataclasses import dataclass
from functools import reduce
from math import gcd

import numpy as np

from jobs.calc.cutting.levels import Row, Task, row_across_mm, row_along_mm

MOST_CELLS_ALONG = 400
MOST_CELLS_ACROSS = 200


@dataclass(frozen=True)
class Grid:
    """Rows (single shapes; for a fourth stage also shapes side by side) with sizes in mm and in cells."""

    task: Task
    rows: tuple[Row, ...]
    needs: tuple[tuple[tuple[int, int], ...], ...]
    across_mm: np.ndarray
    along_mm: np.ndarray
    across: np.ndarray
    along: np.ndarray
    unit_across_mm: int
    unit_along_mm: int
    area: np.ndarray
    demand: np.ndarray
    single: np.ndarray
    rows_of_type: tuple[tuple[int, ...], ...]
    first_type: np.ndarray
    use: np.ndarray


def make_grid(task: Task, rows: tuple[Row, ...] | None = None) -> Grid:
    """The grid of a task; lengths and widths are rounded to the nearest cell, never the plan's own."""
    rows = rows or tuple((index,) for index in range(len(task.shapes)))
    rows = tuple(sorted(rows, key=lambda row: (row_across_mm(task, row), row_along_mm(task, row), row)))
    across_mm = np.array([row_across_mm(task, row) for row in rows], dtype=np.int64)
    along_mm = np.array([row_along_mm(task, row) for row in rows], dtype=np.int64)
    needs = tuple(_needs(task, row) for row in rows)
    unit_along_mm = _unit(along_mm, int(along_mm.max()), MOST_CELLS_ALONG)
    widest_mm = max((stretch.width_mm for stretch in task.stretches), default=1)
    unit_across_mm = _unit(across_mm, widest_mm, MOST_CELLS_ACROSS)
    return Grid(
        task=task,
        rows=rows,
        needs=needs,
        across_mm=across_mm,
        along_mm=along_mm,
        across=_cells(across_mm, unit_across_mm),
        along=_cells(along_mm, unit_along_mm),
        unit_across_mm=unit_across_mm,
        unit_along_mm=unit_along_mm,
        area=np.array([task.area_mm2(type_) for type_ in task.types], dtype=np.float64),
        demand=np.array(task.demand, dtype=np.int16),
        single=np.array([len(need) == 1 and need[0][1] == 1 for need in needs]),
        rows_of_type=tuple(
            tuple(n for n, need in enumerate(needs) if any(t == type_ for t, _ in need)) for type_ in task.types
        ),
        first_type=np.array([need[0][0] for need in needs]),
        use=_use(needs, len(task.demand)),
    )


def _use(needs: tuple[tuple[tuple[int, int], ...], ...], types: int) -> np.ndarray:
    use = np.zeros((len(needs), types), dtype=np.int16)
    for row, need in enumerate(needs):
        for type_, count in need:
            use[row, type_] = count
    return use


def _needs(task: Task, row: Row) -> tuple[tuple[int, int], ...]:
    types = [task.shapes[index].type for index in row]
    return tuple((type_, types.count(type_)) for type_ in sorted(set(types)))


def _unit(sizes_mm: np.ndarray, most_mm: int, most_cells: int) -> int:
    common = reduce(gcd, (int(size) for size in sizes_mm))
    return max(common, -(-most_mm // most_cells))


def _cells(sizes_mm: np.ndarray, unit_mm: int) -> np.ndarray:
    return np.maximum(1, (sizes_mm + unit_mm // 2) // unit_mm)
