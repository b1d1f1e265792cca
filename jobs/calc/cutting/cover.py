"""The cover: which levels of the pool to cut from which stretches, so that all blanks are there from least cloth.

A linear program gives each blank its worth; an integer program over the levels that could still matter picks the plan.
Nothing the solver reports is believed: cost is counted from the levels it picked.
"""

from dataclasses import dataclass

import highspy
import numpy as np

from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.levels import Task
from jobs.calc.cutting.pool import Pool

SPARE_WIDTH = 1.12
MOST_COLUMNS = 2_500
MOST_FIXED = 6
LEAST_SHARE = 0.6


@dataclass
class Columns:
    """One column a (level, stretch): cost in mm² of cloth, length in mm, blanks held."""

    level: np.ndarray
    stretch: np.ndarray
    cost: np.ndarray
    length: np.ndarray
    counts: np.ndarray


@dataclass
class Prices:
    """What the linear program says: worth of a blank of each type, worth of a mm of each stretch, and its optimum."""

    blank: np.ndarray
    stretch: np.ndarray
    optimum: float
    reduced: np.ndarray
    times: np.ndarray


def columns_of(task: Task, pool: Pool, demand: np.ndarray, room_mm: np.ndarray) -> Columns:
    """Every level that holds nothing beyond the demand, beside every stretch that may hold it and is not much wider."""
    within = np.flatnonzero((pool.counts <= demand).all(axis=1))
    counts, across, length = pool.counts[within], pool.across_mm[within], pool.length_mm[within]
    levels, stretches, costs = [], [], []
    for number, stretch in enumerate(task.stretches):
        barred = [type_ for type_ in task.types if not task.allowed[type_][number]]
        fits = (across <= stretch.width_mm) & (length <= room_mm[number]) & ~counts[:, barred].any(axis=1)
        fits &= across * SPARE_WIDTH >= stretch.width_mm
        mine = np.flatnonzero(fits)
        levels.append(mine)
        stretches.append(np.full(len(mine), number))
        costs.append(length[mine] * task.price_mm[number])
    level, stretch = np.concatenate(levels), np.concatenate(stretches)
    return Columns(
        within[level], stretch, np.concatenate(costs).astype(float), length[level].astype(float), counts[level]
    )


class Cover:
    """The covering program over a pool: demand blanks of each type, room mm of each stretch."""

    def __init__(self, task: Task, pool: Pool, demand: np.ndarray, room_mm: np.ndarray):
        self.task, self.pool = task, pool
        self.demand, self.room = demand.astype(float), room_mm.astype(float)
        self.columns = columns_of(task, pool, demand, room_mm)
        self.scale = 1e6

    def prices(self, rounds: int = 12, seconds: float = 1.0) -> Prices | None:
        """Solve the linear program, columns let in as they prove worth it."""
        columns = self.columns
        if not len(columns.level):
            return None
        area = columns.counts @ np.array([self.task.area_mm2(type_) for type_ in self.task.types], dtype=float)
        order = np.argsort(columns.cost / np.maximum(1, area), kind="stable")
        sequence = np.sort(order[:800])
        inside = np.zeros(len(order), bool)
        inside[order[:800]] = True
        solver = _solver(seconds)
        self._load(solver, np.flatnonzero(inside), integer=False)
        for _ in range(rounds):
            solver.run()
            solution = solver.getSolution()
            if not solution.dual_valid:
                return None
            dual = np.array(solution.row_dual)
            blank, stretch = dual[: len(self.demand)], dual[len(self.demand) :]
            reduced = columns.cost / self.scale - columns.counts @ blank - columns.length * stretch[columns.stretch]
            better = np.flatnonzero((reduced < -1e-9) & ~inside)
            optimum = solver.getInfo().objective_function_value
            if not len(better):
                break
            better = better[np.argsort(reduced[better], kind="stable")[:400]]
            inside[better] = True
            sequence = np.concatenate([sequence, better])
            self._add(solver, better, integer=False)
        return Prices(np.maximum(blank, 0), stretch, optimum, reduced, self._times(solution, sequence))

    def _times(self, solution, sequence: np.ndarray) -> np.ndarray:
        """How often the linear program takes each column; the dummies stand after the first ones let in."""
        value, first = np.array(solution.col_value), min(800, len(self.columns.level))
        value = np.concatenate([value[:first], value[first + len(self.demand) :]])
        times = np.zeros(len(self.columns.level))
        times[sequence[: len(value)]] = value
        return times

    def plan(
        self, prices: Prices, start: list[Placement] | None, cost_mm2: int, *, seconds: float, nodes: int, step_mm2: int
    ) -> list[Placement] | None:
        """The best set of levels over the columns that could beat cost_mm2, or None."""
        slack = cost_mm2 / self.scale - prices.optimum
        useful = np.flatnonzero(prices.reduced <= max(slack, 0) + 1e-9)
        useful = useful[np.argsort(prices.reduced[useful], kind="stable")[:MOST_COLUMNS]]
        started = self._start(start or [])
        useful = np.union1d(useful, np.array(sorted(started), dtype=np.int64)).astype(np.int64)
        if not len(useful):
            return None
        solver = _solver(seconds)
        solver.setOptionValue("mip_max_nodes", nodes)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.99 * step_mm2 / self.scale)
        self._load(solver, useful, integer=True)
        if started:
            self._hint(solver, useful, started)
        solver.run()
        values = np.array(solver.getSolution().col_value)
        if len(values) < len(useful):
            return None
        return self._placements(useful, np.rint(values[: len(useful)]).astype(int))

    def likeliest(self, prices: Prices, rng: np.random.Generator) -> list[Placement]:
        """The levels that the linear program takes most of, as many as go together."""
        columns, left, spare = self.columns, self.demand.copy(), self.room.copy()
        score = prices.times * rng.uniform(0.6, 1.0, len(prices.times))
        found: list[Placement] = []
        for at in np.argsort(-score, kind="stable")[:MOST_FIXED]:
            if prices.times[at] < LEAST_SHARE and found:
                break
            if prices.times[at] < 1e-6:
                break
            if (columns.counts[at] <= left).all() and columns.length[at] <= spare[columns.stretch[at]]:
                left -= columns.counts[at]
                spare[columns.stretch[at]] -= columns.length[at]
                found.append((self.pool.levels[columns.level[at]], int(columns.stretch[at])))
        return found

    def _placements(self, useful, times) -> list[Placement] | None:
        columns = self.columns
        spare, found = self.room.copy(), []
        for at in np.flatnonzero(times > 0):
            column = useful[at]
            for _ in range(times[at]):
                found.append((self.pool.levels[columns.level[column]], int(columns.stretch[column])))
            spare[columns.stretch[column]] -= times[at] * columns.length[column]
        return None if (spare < -0.5).any() else found

    def _start(self, start: list[Placement]) -> dict[int, int]:
        at = {
            (level, stretch): number
            for number, (level, stretch) in enumerate(
                zip(self.columns.level.tolist(), self.columns.stretch.tolist(), strict=True)
            )
        }
        times: dict[int, int] = {}
        for level, stretch in start:
            number = at.get((self.pool.number.get(level.counts, -1), stretch))
            if number is None:
                return {}
            times[number] = times.get(number, 0) + 1
        return times

    def _hint(self, solver, useful, started: dict[int, int]) -> None:
        solution = highspy.HighsSolution()
        values = np.zeros(len(useful) + len(self.demand))
        for number, times in started.items():
            values[int(np.searchsorted(useful, number))] = times
        solution.col_value = values.tolist()
        solver.setSolution(solution)

    def _load(self, solver, chosen, *, integer: bool) -> None:
        for needed in self.demand:
            solver.addRow(float(needed), highspy.kHighsInf, 0, np.array([], np.int32), np.array([], float))
        for room in self.room:
            solver.addRow(-highspy.kHighsInf, float(room), 0, np.array([], np.int32), np.array([], float))
        self._add(solver, chosen, integer=integer)
        self._add_dummies(solver)

    def _add(self, solver, chosen, *, integer: bool) -> None:
        columns = self.columns
        held = columns.counts[chosen]
        at, type_ = np.nonzero(held)
        order = np.argsort(np.concatenate([at, np.arange(len(chosen))]), kind="stable")
        index = np.concatenate([type_, len(self.demand) + columns.stretch[chosen]])[order]
        value = np.concatenate([held[at, type_].astype(float), columns.length[chosen]])[order]
        start = np.concatenate([[0], np.cumsum((held > 0).sum(axis=1) + 1)[:-1]])
        number = len(chosen)
        before = solver.getNumCol()
        solver.addCols(
            number,
            columns.cost[chosen] / self.scale,
            np.zeros(number),
            np.full(number, highspy.kHighsInf),
            len(index),
            start.astype(np.int32),
            index.astype(np.int32),
            value.astype(float),
        )
        if integer:
            at = np.arange(before, before + number, dtype=np.int32)
            solver.changeColsIntegrality(number, at, np.array([highspy.HighsVarType.kInteger] * number))

    def _add_dummies(self, solver) -> None:
        """A dear stand-in for each blank, so that the program always has an answer."""
        number = len(self.demand)
        dear = 20 * np.array([self.task.area_mm2(type_) for type_ in self.task.types]) / self.scale
        solver.addCols(
            number,
            dear,
            np.zeros(number),
            np.full(number, highspy.kHighsInf),
            number,
            np.arange(number, dtype=np.int32),
            np.arange(number, dtype=np.int32),
            np.ones(number),
        )


def _solver(seconds: float) -> highspy.Highs:
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", float(seconds))
    return solver
