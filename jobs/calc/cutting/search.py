"""The search: takes levels out of the plan and fills them anew, and now and then covers the job from the whole pool."""

from collections.abc import Callable

import numpy as np

from jobs.calc.cutting.cover import Cover
from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.grid import make_grid
from jobs.calc.cutting.layout import without_extras
from jobs.calc.cutting.levels import Task
from jobs.calc.cutting.pool import Pool
from jobs.calc.cutting.rebuild import Rebuilder

UNPLACED_WEIGHT = 20


class Search:
    """One searcher: its pool, the plan it stands at and the best it has seen. The same seed takes the same steps."""

    def __init__(self, task: Task, start: list[Placement], seed: int):
        self.task = task
        self.rng = np.random.default_rng(seed)
        self.grid = make_grid(task)
        self.pool = Pool(task)
        self.rebuilder = Rebuilder(self.grid, task.problem.stages, self.rng, self.pool.keep)
        self.room_mm = np.array([stretch.length_mm for stretch in task.stretches], dtype=np.int64)
        self.demand = np.array(task.demand, dtype=np.int16)
        self.now = self.best = start
        self.now_cost = self.best_cost = self.cost(start)
        self.rounds = 0
        self.heat = 0.0

    def cost(self, placements: list[Placement]) -> int:
        """Cloth in mm², blanks without a place counted at many times their area."""
        missing = self.demand.astype(np.int64).copy()
        for level, _ in placements:
            for type_, count in level.counts:
                missing[type_] -= count
        cloth = sum(self.task.cloth_mm2(level, stretch) for level, stretch in placements)
        return cloth + UNPLACED_WEIGHT * int((self.grid.area @ np.maximum(missing, 0)))

    def take(self, placements: list[Placement]) -> bool:
        """Stand at this plan; returns whether it is the best so far."""
        self.now, self.now_cost = placements, self.cost(placements)
        if self.now_cost < self.best_cost:
            self.best, self.best_cost = self.now, self.now_cost
            for level, _ in placements:
                self.pool.add(level)
            return True
        return False

    def begin(self) -> bool:
        """Fill the whole job at once, many ways."""
        found, _ = self.rebuilder.rebuild(self.demand, self.room_mm, self.best_cost)
        return found is not None and self.take(found)

    def step(self) -> bool:
        """Take some levels out and fill them anew; returns whether the best plan got better."""
        self.rounds += 1
        out, kept = self._split()
        old = sum(self.task.cloth_mm2(level, stretch) for level, stretch in out)
        free, spare = self._left_by(kept)
        missing = int(self.grid.area @ free) - sum(
            self.task.area_mm2(type_) * count for level, _ in out for type_, count in level.counts
        )
        slack = int(self.rng.exponential(self.heat) * self.best_cost) if self.heat else 0
        limit = old + slack + UNPLACED_WEIGHT * max(0, missing)
        found, _ = self.rebuilder.rebuild(free, spare, limit)
        return found is not None and self.take(kept + found)

    def _split(self) -> tuple[list[Placement], list[Placement]]:
        """Levels to take out, until enough blanks are free, and the rest."""
        rng, now = self.rng, self.now
        wanted = rng.integers(6, 36)
        waste = np.array([self._waste(level, stretch) for level, stretch in now])
        order = np.argsort(-(np.log(waste + 0.01) + rng.gumbel(size=len(now))), kind="stable")
        blanks = 0
        for number, at in enumerate(order, start=1):
            blanks += sum(count for _, count in now[at][0].counts)
            if blanks >= wanted and number >= 2:
                break
        taken = set(order[:number].tolist()) if len(now) else set()
        return [now[at] for at in taken], [now[at] for at in range(len(now)) if at not in taken]

    def _waste(self, level, stretch: int) -> float:
        area = sum(self.task.area_mm2(type_) * count for type_, count in level.counts)
        return 1 - area / self.task.cloth_mm2(level, stretch)

    def _left_by(self, kept: list[Placement]) -> tuple[np.ndarray, np.ndarray]:
        free, spare = self.demand.copy(), self.room_mm.copy()
        for level, stretch in kept:
            spare[stretch] -= level.length_mm
            for type_, count in level.counts:
                free[type_] -= count
        return np.maximum(free, 0), spare

    def recombine(self, *, seconds: float, nodes: int, step_mm2: int) -> bool:
        """Cover the job from the pool; returns whether the best plan got better."""
        for level, _ in self.best:
            self.pool.add(level)
        cover = Cover(self.task, self.pool)
        prices = cover.prices()
        if prices is None:
            return False
        self.prices = prices
        found = cover.plan(prices, self.best, self.best_cost, seconds=seconds, nodes=nodes, step_mm2=step_mm2)
        if not found:
            return False
        found = without_extras(self.task, found)
        return self.cost(found) < self.best_cost and self.take(found)


def improve(search: Search, done: Callable[[], bool], better: Callable[[], None]) -> None:
    while not done():
        if search.step():
            better()
