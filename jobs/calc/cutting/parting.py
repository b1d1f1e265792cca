"""Cuts a level apart wherever one straight cut across the whole roll would do: shorter strips for the same cloth."""

from functools import reduce
from math import gcd

from jobs.calc.cutting.levels import Column, Level, Task, column_along_mm, row_along_mm


def parted(task: Task, level: Level) -> list[Level]:
    """The level as the most strips that its rows can be sorted into, together no longer than the level was."""
    if len(level.columns) == 1:
        return [task.level(tuple(((index,),) for index in row)) for row in level.columns[0]]
    found, rest = [], level
    while rest.columns and (halves := _halves(task, rest)):
        found.append(halves[0])
        rest = halves[1]
    return [*found, rest] if rest.columns else found


def _halves(task: Task, level: Level) -> tuple[Level, Level] | None:
    """The shortest strip that can be cut off the level, and the rest of it."""
    rows = [row_along_mm(task, row) for column in level.columns for row in column]
    unit_mm = reduce(gcd, rows)
    if len(rows) == len(level.columns) or level.length_mm == unit_mm:
        return None
    sums = [_sums(task, column, unit_mm) for column in level.columns]
    whole = level.length_mm // unit_mm
    cut = _first_cut(task, level, [reached[-1] for reached in sums], whole, unit_mm)
    if not cut:
        return None
    sides = [
        _sides(task, column, reached, cut, whole - cut, unit_mm)
        for column, reached in zip(level.columns, sums, strict=True)
    ]
    front, back = (tuple(filter(None, side)) for side in zip(*sides, strict=True))
    return task.level(front), task.level(back)


def _sums(task: Task, column: Column, unit_mm: int) -> list[int]:
    """After each row of the column, the lengths that some of the rows so far add up to, as the bits of a number."""
    reached = [1]
    for row in column:
        reached.append(reached[-1] | reached[-1] << (row_along_mm(task, row) // unit_mm))
    return reached


def _first_cut(task: Task, level: Level, reached: list[int], whole: int, unit_mm: int) -> int:
    """The nearest place where each column can have a straight cut between its rows; 0 when there is none."""
    places = (1 << whole) - 2
    for column, bits in zip(level.columns, reached, strict=True):
        places &= _spread(bits, whole - column_along_mm(task, column) // unit_mm)
    return (places & -places).bit_length() - 1 if places else 0


def _spread(bits: int, slack: int) -> int:
    """Each bit of a number, and the slack bits above it: a column with room to spare can be moved so far."""
    done = 0
    while done < slack:
        step = min(done + 1, slack - done)
        bits |= bits << step
        done += step
    return bits


def _within(bits: int, least: int, most: int) -> int:
    """The bits from least to most of a number, moved to the end."""
    least = max(0, least)
    return bits >> least & ((1 << (most - least + 1)) - 1) if most >= least else 0


def _sides(task: Task, column: Column, reached: list[int], front: int, back: int, unit_mm: int):
    """The rows of a column before and after the cut."""
    size = column_along_mm(task, column) // unit_mm
    at = max(0, size - back)
    at += _within(reached[-1], at, front).bit_length() - 1
    before, after = [], []
    for row, bits in zip(reversed(column), reversed(reached[:-1]), strict=True):
        along = row_along_mm(task, row) // unit_mm
        if bits >> at & 1:
            after.append(row)
        else:
            before.append(row)
            at -= along
    return tuple(before), tuple(after)
