"""Fills many levels at once: two nested knapsacks, columns filled along and levels filled across.

Every array has one entry a candidate in its last axis, so one pass of numpy works on all candidates of a batch: that is
what makes the search quick without compiled code of our own.
"""

from dataclasses import dataclass

import numpy as np

from jobs.calc.cutting.grid import Grid
from jobs.calc.cutting.levels import Level

NOTHING = np.float32(-1e30)
MOST_COLUMNS_AT_ONCE = 6
MOST_WIDE_STEPS = 120


class Scratch:
    """Memory used again and again: asking the system for fresh pages would cost more than the sums done in them."""

    def __init__(self):
        self.flags = np.empty(0, bool)

    def table(self, *shape: int) -> np.ndarray:
        size = shape[0] * shape[1] * shape[2]
        if size > len(self.flags):
            self.flags = np.empty(size * 3 // 2, bool)
        return self.flags[:size].reshape(shape)


ALONG, ACROSS = Scratch(), Scratch()


@dataclass
class Filled:
    """Levels filled for a batch; columns holds (candidate of each column, taken steps, rows of the steps)."""

    grid: Grid
    used: np.ndarray
    length_mm: np.ndarray
    columns: list[tuple[np.ndarray, np.ndarray, np.ndarray]]

    def level(self, candidate: int) -> Level:
        """The level of one candidate."""
        columns = []
        for members, taken, rows in self.columns:
            for at in np.flatnonzero(members == candidate):
                columns.append(tuple(self.grid.rows[row] for row in rows[taken[:, at]]))
        return self.grid.task.level(tuple(columns))


@dataclass(frozen=True)
class Steps:
    """The rows a knapsack goes through, widths ascending, one step a copy."""

    rows: np.ndarray
    copies: np.ndarray
    types: np.ndarray
    needs: np.ndarray
    along: np.ndarray
    along_mm: np.ndarray
    across_mm: np.ndarray
    shared: np.ndarray
    single: bool

    def only(self, useful: np.ndarray) -> "Steps":
        parts = (self.rows, self.copies, self.types, self.needs, self.along, self.along_mm, self.across_mm, self.shared)
        return Steps(*(part[useful] for part in parts), self.single)


def steps_for(grid: Grid, free: np.ndarray) -> Steps:
    """The steps for these blanks: (types) how many of each there are."""
    rows, copies = [], []
    most = max(1, MOST_WIDE_STEPS // max(1, len(grid.rows) - len(grid.task.shapes)))
    for row, needs in enumerate(grid.needs):
        number = min(int(free[type_]) // count for type_, count in needs)
        if number and len(needs) + needs[0][1] > 2:
            number = min(number, most)
        rows += [row] * number
        copies += range(number)
    rows = np.array(rows, dtype=np.int64)
    shared = np.array([_shared(grid, row) for row in rows], dtype=bool)
    return Steps(
        rows=rows,
        copies=np.array(copies, dtype=np.int64),
        types=grid.first_type[rows],
        needs=grid.use[rows],
        along=grid.along[rows],
        along_mm=grid.along_mm[rows],
        across_mm=grid.across_mm[rows],
        shared=shared,
        single=bool(grid.single[rows].all()),
    )


def _shared(grid: Grid, row: int) -> bool:
    return any(len(grid.rows_of_type[type_]) > 1 for type_, _ in grid.needs[row])


def fill_levels(grid: Grid, steps: Steps, value, free, room_mm, cap, stages: int) -> Filled:
    """Fill one level for each candidate of a batch.

    value and free are (types, batch): worth of one blank and how many there are; room_mm is the width to fill, cap the
    length in cells. The best set of columns is looked for as if columns did not compete for blanks, those that do not
    are kept, and the rest of the width is looked at again.
    """
    batch = value.shape[1]
    filled = Filled(grid, np.zeros_like(free), np.zeros(batch, np.int64), [])
    free, room_mm = free.copy(), room_mm.copy()
    alive = np.arange(batch)
    while len(alive):
        got = _add_columns(grid, steps, value[:, alive], free, room_mm, cap[alive], stages, filled, alive)
        alive = alive[got]
    return filled


def _add_columns(grid, steps, value, free, room_mm, cap, stages, filled, alive) -> np.ndarray:
    """One round for the candidates alive; returns which of them got a column."""
    left = free[:, alive]
    steps, worth = _worthwhile(steps, value, left, room_mm[alive], cap)
    if not len(steps.rows):
        return np.zeros(len(alive), bool)
    took, best, last = _knapsack_along(steps, worth, cap, stages)
    chosen = _knapsack_across(grid, steps.across_mm[last], best, room_mm[alive])
    member, column = _picked(chosen, best)
    if not len(member):
        return np.zeros(len(alive), bool)
    taken = _trace(steps, took, last[column], member, left, stages, grid)
    return _record(grid, steps, taken, member, left, free, room_mm, filled, alive)


def _worthwhile(steps: Steps, value, free, room_mm, cap):
    """The steps that some candidate may use, and what each is worth to each candidate."""
    if steps.single:
        worth = np.where(free[steps.types] > steps.copies[:, None], value[steps.types], NOTHING)
    else:
        worth = _row_worth(steps, value, free)
    worth[(steps.across_mm[:, None] > room_mm) | (steps.along[:, None] > cap)] = NOTHING
    useful = worth.max(axis=1, initial=NOTHING) > 0
    if useful.all():
        return steps, worth
    return steps.only(useful), worth[useful]


def _row_worth(steps: Steps, value, free):
    worth = np.einsum("st,tc->sc", steps.needs.astype(np.float32), value)
    for at, (needs, copy) in enumerate(zip(steps.needs, steps.copies, strict=True)):
        types = np.flatnonzero(needs)
        enough = (free[types] >= needs[types, None] * (copy + 1)).all(axis=0)
        worth[at, ~enough] = NOTHING
    return worth


def _knapsack_along(steps: Steps, worth, cap, stages: int):
    """For each width, the best worth of a column no wider; took[step] says where a step was worth taking."""
    if stages == 2:
        return None, worth, np.arange(len(steps.rows))
    longest, batch = int(cap.max()), worth.shape[1]
    last = np.flatnonzero(np.append(np.diff(steps.across_mm) > 0, True))
    ends = set(last.tolist())
    total = np.where(np.arange(longest + 1)[:, None] >= longest - cap, np.float32(0), NOTHING)
    took = ALONG.table(len(steps.rows), longest + 1, batch)
    best, trial = [], np.empty_like(total)
    for step, length in enumerate(steps.along.tolist()):
        tried, upper = trial[length:], total[length:]
        took[step, :length] = False
        np.add(total[:-length], worth[step], out=tried)
        np.greater(tried, upper, out=took[step, length:])
        np.maximum(upper, tried, out=upper)
        if step in ends:
            best.append(total[-1].copy())
    return took, np.array(best), last


def _knapsack_across(grid: Grid, widths, best, room_mm):
    """Which widths of column to set side by side, as if columns did not compete for blanks: (widths, batch) of bool."""
    cells = np.maximum(1, (widths + grid.unit_across_mm // 2) // grid.unit_across_mm).tolist()
    room = room_mm // grid.unit_across_mm
    most, batch = int(room.max()), best.shape[1]
    total = np.where(np.arange(most + 1)[:, None] >= most - room, np.float32(0), NOTHING)
    took = ACROSS.table(len(widths), most + 1, batch)
    trial = np.empty_like(total)
    for at, width in enumerate(cells):
        took[at, :width] = False
        if width <= most:
            tried, upper = trial[width:], total[width:]
            np.add(total[:-width], best[at], out=tried)
            np.greater(tried, upper, out=took[at, width:])
            np.maximum(upper, tried, out=upper)
    chosen = np.zeros(best.shape, bool)
    flat = took.reshape(len(widths), -1)
    where = most * batch + np.arange(batch)
    for at in range(len(widths) - 1, -1, -1):
        hit = flat[at].take(where)
        chosen[at] = hit
        where -= hit * (cells[at] * batch)
    return chosen


def _picked(chosen, best):
    """The chosen columns as (candidate, width) pairs, each candidate's worthiest first, not too many at once."""
    column, member = np.nonzero(chosen & (best > 0))
    order = np.lexsort((-best[column, member], member))
    member, column = member[order], column[order]
    first = np.searchsorted(member, member)
    near = np.arange(len(member)) - first < MOST_COLUMNS_AT_ONCE
    return member[near], column[near]


def _trace(steps: Steps, took, end, member, free, stages: int, grid: Grid):
    """The steps taken by each column, never the same blank twice within one column: (steps, columns) of bool."""
    taken = np.zeros((len(steps.rows), len(member)), bool)
    if stages == 2:
        taken[end, np.arange(len(member))] = True
        return taken
    batch = took.shape[2]
    flat = took.reshape(len(steps.rows), -1)
    where = (took.shape[1] - 1) * batch + member
    left = free[:, member] if steps.shared.any() else None
    back = (steps.along * batch).tolist()
    shared = steps.shared.tolist()
    for step in range(int(end.max()), -1, -1):
        hit = flat[step].take(where)
        hit &= end >= step
        if shared[step]:
            _take_shared(grid, int(steps.rows[step]), hit, left)
        where -= hit * back[step]
        taken[step] = hit
    return taken


def _take_shared(grid: Grid, row: int, hit, left) -> None:
    needs = grid.needs[row]
    for type_, count in needs:
        hit &= left[type_] >= count
    for type_, count in needs:
        left[type_] -= hit if count == 1 else hit * np.int16(count)


def _used(steps: Steps, taken, types: int):
    """Blanks of each type in each column: (types, columns). No matrix product: its threads fight for the cores."""
    if not steps.single:
        return np.einsum("st,sc->tc", steps.needs, taken.astype(np.int16))
    used = np.zeros((types, taken.shape[1]), np.int16)
    order = np.argsort(steps.types, kind="stable")
    there, first = np.unique(steps.types[order], return_index=True)
    used[there] = np.add.reduceat(taken[order], first, axis=0, dtype=np.int16)
    return used


def _record(grid: Grid, steps: Steps, taken, member, left, free, room_mm, filled: Filled, alive) -> np.ndarray:
    """Keep each candidate's columns in turn as long as there are blanks and width for them."""
    used = _used(steps, taken, len(free))
    length_mm = np.einsum("s,sc->c", steps.along_mm, taken)
    across_mm = steps.across_mm[len(taken) - 1 - taken[::-1].argmax(axis=0)]
    room_now = room_mm[alive]
    rank = np.arange(len(member)) - np.searchsorted(member, member)
    keep = taken.any(axis=0)
    for turn in range(int(rank.max()) + 1):
        at = np.flatnonzero(keep & (rank == turn))
        who = member[at]
        fits = (used[:, at] <= left[:, who]).all(axis=0) & (across_mm[at] <= room_now[who])
        keep[at[~fits]] = False
        at, who = at[fits], who[fits]
        left[:, who] -= used[:, at]
        room_now[who] -= across_mm[at]
        filled.length_mm[alive[who]] = np.maximum(filled.length_mm[alive[who]], length_mm[at])
    filled.used[:, alive] += free[:, alive] - left
    free[:, alive] = left
    room_mm[alive] = room_now
    filled.columns.append((alive[member[keep]], taken[:, keep], steps.rows))
    got = np.zeros(len(alive), bool)
    got[member[keep]] = True
    return got
