"""Fills many levels at once: two nested knapsacks, columns filled along and levels filled across.

Every array has one entry a candidate in its last axis, so one pass of numpy works on all candidates of a batch: that is
what makes the search quick without compiled code of our own.
"""

from dataclasses import dataclass

import numpy as np

from jobs.calc.cutting.grid import Grid
from jobs.calc.cutting.levels import Level

NOTHING = np.float32(-1e30)


@dataclass
class Filled:
    """Levels filled for a batch: columns holds (candidates, taken steps, rows of the steps) to be read when needed."""

    grid: Grid
    used: np.ndarray
    length_mm: np.ndarray
    across_mm: np.ndarray
    columns: list[tuple[np.ndarray, np.ndarray, np.ndarray]]

    def level(self, candidate: int) -> Level:
        """The level of one candidate."""
        columns = []
        for members, taken, rows in self.columns:
            at = members[candidate]
            if at >= 0:
                picked = rows[taken[:, at]]
                if len(picked):
                    columns.append(tuple(self.grid.rows[row] for row in picked))
        return self.grid.task.level(tuple(columns))


def fill_levels(grid: Grid, value: np.ndarray, free: np.ndarray, room_mm: np.ndarray, cap: np.ndarray, stages: int):
    """Fill one level for each candidate of a batch.

    value and free are (types, batch): worth of one blank and how many there are; room_mm is the width to fill, cap the
    length in cells. Candidates are filled column by column: the best set of columns is looked for as if they did not
    compete for blanks, as many of them are kept as do not, and the rest is looked for again.
    """
    batch = value.shape[1]
    filled = Filled(grid, np.zeros_like(free), np.zeros(batch, np.int64), np.zeros(batch, np.int64), [])
    free, room_mm = free.copy(), room_mm.copy()
    alive = np.arange(batch)
    while len(alive):
        alive = alive[_add_columns(grid, value, free, room_mm, cap, stages, filled, alive)]
    return filled


def _add_columns(grid, value, free, room_mm, cap, stages, filled, alive) -> np.ndarray:
    """One round for the candidates alive; returns which of them got a column."""
    free_now, room_now, cap_now = free[:, alive], room_mm[alive], cap[alive]
    steps, worth = _steps(grid, value[:, alive], free_now, room_now, cap_now)
    if not len(steps):
        return np.zeros(len(alive), bool)
    took, best, last, widths = _knapsack_along(grid, steps, worth, cap_now, stages)
    chosen = _knapsack_across(grid, widths, best, room_now)
    got = np.zeros(len(alive), bool)
    left = free_now.copy()
    touched = np.zeros(len(alive), bool)
    for turn in range(8):
        column = _next_column(chosen, best)
        active = column >= 0
        if not active.any():
            break
        chosen[np.where(active, column, 0), np.arange(len(alive))] &= ~active
        taken, whole = _trace(grid, steps, took, last, column, active, left, cap_now, stages)
        keep = active & (whole if turn else taken.any(axis=0)) & ~touched
        touched |= active & ~keep
        if not keep.any():
            break
        taken &= keep
        _record(grid, steps, taken, keep, left, room_now, filled, alive)
        got |= keep
    free[:, alive] = left
    room_mm[alive] = room_now
    return got


def _steps(grid: Grid, value, free, room_mm, cap):
    """Rows to offer, one step a copy, and what each is worth to each candidate (nothing where it may not be used)."""
    most = free.max(axis=1)
    longest, widest = cap.max(), room_mm.max()
    steps, copies = [], []
    for row in np.flatnonzero((grid.along <= longest) & (grid.across_mm <= widest)):
        needs = grid.needs[row]
        number = min(int(most[type_]) // count for type_, count in needs)
        number = min(number, int(longest // grid.along[row]))
        steps += [row] * number
        copies += range(number)
    steps = np.array(steps, dtype=np.int64)
    if not len(steps):
        return steps, None
    worth = _worth(grid, steps, np.array(copies), value, free)
    worth[grid.across_mm[steps][:, None] > room_mm[None, :]] = NOTHING
    useful = (worth > 0).any(axis=1)
    return steps[useful], worth[useful]


def _worth(grid: Grid, steps, copies, value, free):
    if grid.single.all():
        types = np.array([grid.needs[row][0][0] for row in steps])
        return np.where(free[types] > copies[:, None], value[types], NOTHING)
    worth = np.empty((len(steps), value.shape[1]), np.float32)
    for at, (row, copy) in enumerate(zip(steps, copies, strict=True)):
        total = sum(value[type_] * np.float32(count) for type_, count in grid.needs[row])
        enough = np.all([free[type_] >= count * (copy + 1) for type_, count in grid.needs[row]], axis=0)
        worth[at] = np.where(enough, total, NOTHING)
    return worth


def _knapsack_along(grid: Grid, steps, worth, cap, stages: int):
    """For each width, the best worth of a column no wider; took[step] says where a step was worth taking."""
    longest, batch = int(cap.max()), worth.shape[1]
    lengths = grid.along[steps]
    class_of = np.flatnonzero(np.append(np.diff(grid.across_mm[steps]) > 0, True))
    widths = grid.across_mm[steps[class_of]]
    if stages == 2:
        fits = lengths[:, None] <= cap[None, :]
        return fits, np.where(fits, worth, NOTHING), np.arange(len(steps)), grid.across_mm[steps]
    total = np.where(np.arange(longest + 1)[:, None] >= longest - cap[None, :], np.float32(0), NOTHING)
    took = np.zeros((len(steps), longest + 1, batch), bool)
    best = np.empty((len(class_of), batch), np.float32)
    trial = np.empty_like(total)
    at = 0
    for step, length in enumerate(lengths.tolist()):
        tried = trial[length:]
        np.add(total[:-length], worth[step], out=tried)
        upper = total[length:]
        np.greater(tried, upper, out=took[step, length:])
        np.maximum(upper, tried, out=upper)
        if step == class_of[at]:
            best[at] = total[-1]
            at += 1
    return took, best, class_of, widths


def _knapsack_across(grid: Grid, widths, best, room_mm):
    """Which widths of column to set side by side, as if columns did not compete for blanks: (widths, batch) of bool."""
    cells = np.maximum(1, (widths + grid.unit_across_mm // 2) // grid.unit_across_mm)
    room = room_mm // grid.unit_across_mm
    most, batch = int(room.max()), best.shape[1]
    total = np.where(np.arange(most + 1)[:, None] >= most - room[None, :], np.float32(0), NOTHING)
    took = np.zeros((len(widths), most + 1, batch), bool)
    trial = np.empty_like(total)
    for at, width in enumerate(cells.tolist()):
        if width > most:
            continue
        tried = trial[width:]
        np.add(total[:-width], best[at], out=tried)
        upper = total[width:]
        np.greater(tried, upper, out=took[at, width:])
        np.maximum(upper, tried, out=upper)
    chosen = np.zeros(best.shape, bool)
    where, every = np.full(batch, most), np.arange(batch)
    for at in range(len(widths) - 1, -1, -1):
        hit = took[at, where, every]
        chosen[at] = hit
        where = where - hit * cells[at]
    return chosen


def _next_column(chosen, best):
    """The chosen width worth most, or -1."""
    worth = np.where(chosen, best, NOTHING)
    column = worth.argmax(axis=0)
    return np.where(worth[column, np.arange(len(column))] > 0, column, -1)


def _trace(grid: Grid, steps, took, last, column, active, left, cap, stages: int):
    """The rows of each candidate's column, and whether none of them was already gone."""
    batch = len(column)
    taken = np.zeros((len(steps), batch), bool)
    whole = np.ones(batch, bool)
    every = np.arange(batch)
    if stages == 2:
        at = np.where(active, column, 0)
        taken[at, every] = active
        for step in np.unique(at[active]):
            short = taken[step] & ~_enough(grid, steps[step], left)
            taken[step] &= ~short
            whole &= ~short
        return taken, whole
    end = np.where(active, last[np.where(active, column, 0)], -1)
    where = np.full(batch, took.shape[1] - 1)
    left = left.copy()
    lengths = grid.along[steps]
    for step in range(int(end.max()), -1, -1):
        hit = took[step, where, every]
        hit &= end >= step
        if not hit.any():
            continue
        enough = _enough(grid, steps[step], left)
        if not enough.all():
            whole &= enough | ~hit
            hit &= enough
        for type_, count in grid.needs[steps[step]]:
            left[type_] -= hit * np.int16(count)
        where -= hit * lengths[step]
        taken[step] = hit
    return taken, whole


def _enough(grid: Grid, row: int, left):
    needs = grid.needs[row]
    enough = left[needs[0][0]] >= needs[0][1]
    for type_, count in needs[1:]:
        enough = enough & (left[type_] >= count)
    return enough


def _record(grid: Grid, steps, taken, keep, left, room_mm, filled: Filled, alive) -> None:
    used = np.zeros_like(left)
    for step in np.flatnonzero(taken.any(axis=1)):
        for type_, count in grid.needs[steps[step]]:
            used[type_] += taken[step] * np.int16(count)
    left -= used
    filled.used[:, alive] += used
    length_mm = (taken * grid.along_mm[steps][:, None]).sum(axis=0)
    across_mm = (taken * grid.across_mm[steps][:, None]).max(axis=0)
    filled.length_mm[alive] = np.maximum(filled.length_mm[alive], length_mm)
    filled.across_mm[alive] += across_mm
    room_mm -= across_mm
    members = np.full(len(filled.length_mm), -1)
    members[alive] = np.where(keep, np.arange(len(alive)), -1)
    filled.columns.append((members, taken, steps))
