"""Rebuilds part of a plan: many candidates at once fill level after level until every blank has a place."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from jobs.calc.cutting.fill import Filled, fill_levels, steps_for
from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.grid import Grid

CELLS_OF_WORK = 20_000
NEVER = np.int64(2**60)
UNPLACED_WEIGHT = 20


@dataclass
class Trail:
    """The levels that led to each candidate of a batch: a filled batch for each depth, and who came from whom."""

    filled: list[Filled] = field(default_factory=list)
    stretch: list[np.ndarray] = field(default_factory=list)
    parent: list[np.ndarray] = field(default_factory=list)

    def placements(self, candidate: int) -> list[Placement]:
        found = []
        for filled, stretch, parent in zip(
            reversed(self.filled), reversed(self.stretch), reversed(self.parent), strict=True
        ):
            candidate = int(parent[candidate])
            if filled.length_mm[candidate]:
                found.append((filled.level(candidate), int(stretch[candidate])))
        return found


class Rebuilder:
    """Fills sets of blanks into what is free of the stretches; keeps the good levels it comes across."""

    def __init__(self, grid: Grid, stages: int, rng: np.random.Generator, keep, over: Callable[[], bool]):
        self.grid, self.stages, self.rng, self.keep, self.over = grid, stages, rng, keep, over
        task = grid.task
        self.allowed = np.array(task.allowed, dtype=bool).reshape(len(task.demand), len(task.stretches))
        self.width_mm = np.array([stretch.width_mm for stretch in task.stretches], dtype=np.int64)
        self.cloth_mm = np.array(task.price_mm, dtype=np.int64)
        self.row_type = grid.first_type
        self.row_allowed = np.array(
            [
                np.all([self.allowed[type_] for type_, _ in need], axis=0) & (self.width_mm >= across)
                for need, across in zip(grid.needs, grid.across_mm, strict=True)
            ]
        )
        self.log_along = np.log(grid.along_mm)
        self.hardness = np.log(grid.area / grid.area.max())

    def rebuild(self, free: np.ndarray, spare_mm: np.ndarray, limit_mm2: int, bias=None, batch: int = 0):
        """The cheapest way found to place the blanks free (types) in spare_mm (stretches), or None above the limit.

        None too when the time is over in the middle of a job that is too large for it.
        """
        steps = steps_for(self.grid, free)
        batch = batch or self._batch(steps)
        free = np.repeat(free[:, None], batch, axis=1).astype(np.int16)
        spare = np.repeat(spare_mm[:, None], batch, axis=1)
        cost, trail = np.zeros(batch, np.int64), Trail()
        value = self._values(batch, bias)
        best, best_cost = None, limit_mm2 + 1
        while not self.over():
            stretch, cap, possible = self._targets(free, spare)
            offered = free * self.allowed[:, stretch]
            filled = fill_levels(self.grid, steps, value, offered, self.width_mm[stretch], cap, self.stages)
            every = np.arange(free.shape[1])
            free = free - filled.used
            cost = cost + filled.length_mm * self.cloth_mm[stretch]
            spare[stretch, every] -= filled.length_mm
            done = ~free.any(axis=0)
            lost = (spare[stretch, every] < 0) | (filled.length_mm == 0)
            self._keep_good(filled, stretch, lost)
            rest = (self.grid.area @ free).astype(np.int64)
            cost[lost & possible] = NEVER
            trail.filled.append(filled)
            trail.stretch.append(stretch)
            trail.parent.append(every)
            finished = np.where(done, cost, NEVER)
            stuck = ~possible & ~done
            finished[stuck] = (cost + UNPLACED_WEIGHT * rest)[stuck]
            first = int(finished.argmin())
            if finished[first] < best_cost:
                best_cost = int(finished[first])
                best = trail.placements(first)
            alive = np.flatnonzero(~done & ~lost & (cost + rest < best_cost))
            if not len(alive):
                return best, best_cost
            chosen = self._survivors(alive, (cost + rest)[alive], batch)
            trail.parent[-1] = chosen
            free, spare, cost = free[:, chosen], spare[:, chosen], cost[chosen]
            value = self._values(len(chosen), bias)
        return best, best_cost

    def _survivors(self, alive, waste, batch):
        """The candidates to go on with: the less wasteful half, each drawn often enough to fill the batch."""
        rng = self.rng
        noisy = waste * (1 + 0.01 * rng.standard_normal(len(waste)))
        half = alive[np.argsort(noisy, kind="stable")[: max(1, batch // 3)]]
        return np.resize(half, batch)

    def _values(self, batch: int, bias):
        """Worth of one blank of each type: its area, with the harder ones worth a little more, disturbed."""
        rng = self.rng
        power = rng.uniform(0, 0.25, batch)
        noise = rng.uniform(0.0, 0.25, batch)
        worth = self.hardness[:, None] * (1 + power) + rng.standard_normal((len(self.hardness), batch)) * noise
        if bias is not None:
            worth += bias[:, None] * rng.uniform(0, 1.2, batch)
        return np.exp(worth).astype(np.float32)

    def _targets(self, free, spare):
        """For each candidate a stretch and a level length in cells, from a blank that must be placed somewhere."""
        grid, rng = self.grid, self.rng
        batch = free.shape[1]
        every = np.arange(batch)
        placeable = (self.row_allowed[:, :, None] & (spare[None] >= grid.along_mm[:, None, None])).any(axis=1)
        fits = (free[self.row_type] > 0) & placeable & grid.single[:, None]
        eager = rng.choice(np.array([0.0, 1.0, 3.0]), batch)
        score = self.log_along[:, None] * eager + rng.gumbel(size=(len(grid.rows), batch))
        score[~fits] = -np.inf
        seed = score.argmax(axis=0)
        may = self.row_allowed[seed].T & (spare >= grid.along_mm[seed])
        place = np.where(may, rng.random(spare.shape), -1)
        stretch = place.argmax(axis=0)
        possible = may[stretch, every] & fits[seed, every]
        cap = grid.along[seed]
        second = np.where(fits, rng.random(fits.shape), -1).argmax(axis=0)
        kind = rng.random(batch)
        cap = np.where(kind < 0.25, cap + grid.along[second], cap)
        rest = (grid.area @ free) / self.width_mm[stretch] / grid.unit_along_mm
        levels = np.maximum(1, np.ceil(rest / np.maximum(1, 1.2 * grid.along.max())))
        even = np.ceil(rest / levels * (1 + rng.exponential(0.03, batch)))
        cap = np.where((kind > 0.7) | (even < 1.1 * cap), np.maximum(cap, even), cap)
        cap = np.where(possible, np.minimum(cap, spare[stretch, every] // grid.unit_along_mm), 0)
        return stretch, np.minimum(cap, 2 * grid.along.max()).astype(np.int64), possible

    def _keep_good(self, filled: Filled, stretch, lost) -> None:
        area = self.grid.area @ filled.used
        waste = 1 - area / np.maximum(1, filled.length_mm * self.cloth_mm[stretch])
        waste[lost] = 1
        for candidate in np.argsort(waste, kind="stable")[:12]:
            if waste[candidate] < 0.15:
                self.keep(filled, int(candidate))

    def _batch(self, steps) -> int:
        longest = int(steps.along.max(initial=1))
        return int(np.clip(CELLS_OF_WORK // longest, 32, 64))
