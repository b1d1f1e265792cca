"""The search: takes levels out of the plan and fills them anew, and now and then covers the job from the whole pool."""

from collections.abc import Callable

import numpy as np

from jobs.calc.cutting.beside import tucked
from jobs.calc.cutting.bound import step_mm2
from jobs.calc.cutting.cover import Cover
from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.grid import make_grid
from jobs.calc.cutting.layout import without_extras
from jobs.calc.cutting.levels import Level, Task
from jobs.calc.cutting.pool import Pool
from jobs.calc.cutting.rebuild import UNPLACED_WEIGHT, Rebuilder
from jobs.calc.cutting.rows import rows_of
from jobs.calc.cutting.worth import opening_mm2, worth

FEWEST_BLANKS, MOST_BLANKS = 4, 20
DIVE_BLANKS = 24
HEAT = 0.004
BEGIN_SHARE = 0.3


class Search:
    """One searcher: its pool, the plan it stands at and the best it has seen. The same seed takes the same steps.

    over says that the time is up; a step in the middle is given up.
    """

    def __init__(
        self, task: Task, start: list[Placement], seed: int, over: Callable[[float], bool] = lambda share: False
    ):
        self.task = task
        self.over, self.share = over, 1.0
        self.rng = np.random.default_rng(seed)
        self.grid = make_grid(task, rows_of(task))
        self.pool = Pool(task)
        self.rebuilder = Rebuilder(
            self.grid, task.problem.stages, self.rng, self.pool.keep, lambda: self.over(self.share)
        )
        self.room_mm = np.array([stretch.length_mm for stretch in task.stretches], dtype=np.int64)
        self.demand = np.array(task.demand, dtype=np.int16)
        self.step_mm2 = step_mm2(task)
        self.now = self.best = start
        self.now_cost = self.best_cost = self.cost(start)
        self.best_worth = worth(task, start)
        self.rounds = self.stale = self.turns = 0

    def cost(self, placements: list[Placement]) -> int:
        """Cloth in mm² with the charges of rolls opened, blanks without a place counted at many times their area."""
        cloth = sum(self.task.price_mm2(level, stretch) for level, stretch in placements)
        return cloth + opening_mm2(self.task, placements) + UNPLACED_WEIGHT * self._missing_mm2(placements)

    def _missing_mm2(self, placements: list[Placement]) -> int:
        free, _ = self._left_by(placements)
        return int(self.grid.area @ free)

    def take(self, placements: list[Placement]) -> bool:
        """Stand at this plan; returns whether it is the best so far."""
        self.now, self.now_cost = placements, self.cost(placements)
        if self.now_cost > self.best_cost:
            return False
        new_worth = worth(self.task, placements)
        if (self.now_cost, new_worth) >= (self.best_cost, self.best_worth):
            return False
        self.stale = 0
        self.best, self.best_cost, self.best_worth = self.now, self.now_cost, new_worth
        for level, _ in placements:
            self.pool.add(level)
        return True

    def begin(self) -> bool:
        """Fill the whole job at once, many ways, as far as a part of the time reaches."""
        self.share = BEGIN_SHARE
        found, _ = self.rebuilder.rebuild(self.demand, self.room_mm, self.best_cost)
        self.share = 1.0
        return found is not None and self.take(found)

    def step(self, heat: float = 0.0) -> bool:
        """Take some levels out and fill them anew; returns whether the best plan got better."""
        self.rounds += 1
        self.stale += 1
        out, kept = self._split(self.rng.integers(FEWEST_BLANKS, MOST_BLANKS))
        old = sum(self.task.price_mm2(level, stretch) for level, stretch in out)
        free, spare = self._left_by(kept)
        freed = sum(self.task.area_mm2(type_) * count for level, _ in out for type_, count in level.counts)
        missing = max(0, int(self.grid.area @ free) - freed)
        slack = int(self.rng.exponential(heat) * old) if heat > 0 else 0
        found, _ = self.rebuilder.rebuild(free, spare, old + slack + UNPLACED_WEIGHT * missing + self._charge(kept))
        if found is None or self.cost(kept + found) > self.now_cost + slack:
            return False
        return self.take(kept + found)

    def _charge(self, kept: list[Placement]) -> int:
        """What leaving rolls unopened would save of the charges: more cloth may be taken for that."""
        return opening_mm2(self.task, self.now) - opening_mm2(self.task, kept)

    def _split(self, wanted: int) -> tuple[list[Placement], list[Placement]]:
        """Levels to take out, until enough blanks are free, and the rest; wasteful levels go first."""
        rng, now = self.rng, self.now
        waste = np.array([self._waste(level, stretch) for level, stretch in now])
        order = np.argsort(-(np.log(waste + 0.01) + rng.gumbel(size=len(now))), kind="stable")
        blanks = number = 0
        for number, at in enumerate(order, start=1):
            blanks += sum(count for _, count in now[at][0].counts)
            if blanks >= wanted and number >= 2:
                break
        taken = set(order[:number].tolist())
        return [now[at] for at in sorted(taken)], [now[at] for at in range(len(now)) if at not in taken]

    def _waste(self, level: Level, stretch: int) -> float:
        area = sum(self.task.area_mm2(type_) * count for type_, count in level.counts)
        return 1 - area / (level.length_mm * self.task.stretches[stretch].cloth_width_mm)

    def _left_by(self, kept: list[Placement]) -> tuple[np.ndarray, np.ndarray]:
        free, spare = self.demand.copy(), self.room_mm.copy()
        for level, stretch in kept:
            spare[stretch] -= level.length_mm
            for type_, count in level.counts:
                free[type_] -= count
        return np.maximum(free, 0), spare

    def recombine(self, *, seconds: float, nodes: int) -> bool:
        """Cover the job from the pool; returns whether the best plan got better."""
        for level, _ in self.best:
            self.pool.add(level)
        self.now, self.now_cost = self.best, self.best_cost
        found = self._covered([], self.best, seconds, nodes)
        return found is not None and self.take(found)

    def tuck(self) -> bool:
        """Lay blanks on the narrower sides of faults; returns whether the best plan got better."""
        if not any(stretch.sides for stretch in self.task.stretches):
            return False
        return self.take(tucked(self.task, without_extras(self.task, self.best), lambda: self.over(1.0)))

    def restart(self, dives: int) -> bool:
        """Stand at the best of some dives, or at the best plan every other time; returns whether it is better."""
        self.turns += 1
        if self.turns % 2 == 0:
            self.now, self.now_cost = self.best, self.best_cost
            return False
        before, ends = self.best_cost, []
        for _ in range(dives):
            self.dive()
            ends.append((self.now_cost, self.now))
        self.now_cost, self.now = min(ends, key=lambda end: end[0])
        return self.best_cost < before

    def dive(self, blanks: int = DIVE_BLANKS) -> bool:
        """Follow the linear program: fix the levels it likes best, ask again, and fill the last blanks freely."""
        fixed: list[Placement] = []
        free, spare = self._left_by(fixed)
        while free.sum() > blanks:
            cover = Cover(self.task, self.pool, free, spare)
            prices = cover.prices(rounds=4)
            more = None if prices is None else cover.likeliest(prices, self.rng)
            if not more:
                break
            fixed += more
            free, spare = self._left_by(fixed)
        paid = sum(self.task.price_mm2(level, stretch) for level, stretch in fixed)
        limit = int(1.03 * self.best_cost) - paid
        found, _ = self.rebuilder.rebuild(free, spare, limit)
        return found is not None and self.take(fixed + found)

    def _covered(self, kept: list[Placement], out: list[Placement], seconds: float, nodes: int):
        """The kept levels with levels of the pool for all other blanks, at less cost than with out, or None."""
        free, spare = self._left_by(kept)
        old = self.cost(kept + out) - sum(self.task.price_mm2(level, stretch) for level, stretch in kept)
        cover = Cover(self.task, self.pool, free, spare)
        prices = cover.prices()
        if prices is None or prices.optimum * cover.scale > old - 0.5 * self.step_mm2:
            return None
        found = cover.plan(prices, out, old, seconds=seconds, nodes=nodes, step_mm2=self.step_mm2)
        if not found:
            return None
        found = without_extras(self.task, kept + found)
        return found if self.cost(found) < self.cost(kept + out) else None
