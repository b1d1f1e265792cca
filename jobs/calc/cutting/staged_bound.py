"""The bound for two stages: less cloth than this no plan of cross-cuts and slits alone can use.

In two stages a strip of any length is one knapsack of blanks no longer than it, side by side. That can be priced
exactly, so the linear program over all such strips proves a bound; prices from any of its rounds prove one too. With
three stages a blank may be counted in two columns of one strip, which proves less than the slice bound: none is given.
"""

import time
from math import ceil

import highspy
import numpy as np

from jobs.calc.cutting.bound import best_scale, parts_of, shelves_of, step_mm2, without_narrow_faults
from jobs.calc.cutting.levels import make_task
from jobs.calc.cutting.problem import Problem

PRICED_STAGES = 2


def staged_bound_mm2(problem: Problem, *, seconds: float = 1.0, rounds: int = 200) -> int | None:
    """Cloth in mm² that no plan within the problem's stages can do without, or None where none can be proved.

    The locked strips are included. seconds and rounds limit the work; the bound is valid whenever it stops. Example: a
    panel of 600 x 900 mm beside two of 400 x 450 mm, all with fixed grain, from a roll 1000 mm wide takes 900 + 450 mm
    in two stages, 1 350 000 mm², since no two stages pile the small ones beside the panel.
    """
    if problem.stages != PRICED_STAGES:
        return None
    locked = sum(strip.length_mm * problem.stock_by_id[strip.stock].usable_width_mm for strip in problem.locked_strips)
    task = make_task(without_narrow_faults(problem))
    if not task.demand or not task.stretches:
        return locked
    step = step_mm2(task)
    return locked + step * ceil(_StripProgram(task).solve(seconds, rounds) * (1 - 1e-9) / step - 1e-6)


class _StripProgram:
    """The linear program over the strips of two stages, made as they are wanted."""

    def __init__(self, task):
        self.task, self.shelves = task, shelves_of(task)
        self.types = sorted({task.shapes[index].type for shelf in self.shelves for index in shelf.shapes})
        self.row_of = {type_: row for row, type_ in enumerate(self.types)}
        self.demand = np.array([task.demand[type_] for type_ in self.types], dtype=float)
        self.width = np.array([shelf.width_mm for shelf in self.shelves], dtype=float)
        self.room = np.array([shelf.length_mm for shelf in self.shelves])
        self.known: set[tuple] = set()

    def solve(self, seconds: float, rounds: int) -> float:
        """The best bound proved within the limits, in mm²."""
        if not self.shelves:
            return 0.0
        end, best = time.monotonic() + seconds, 0.0
        solver = self._master()
        for _ in range(rounds):
            solver.run()
            price = np.maximum(np.array(solver.getSolution().row_dual[: len(self.types)]), 0) * 1e6
            strips = [self._dearest(shelf, price) for shelf in self.shelves]
            worth = np.array([max((value for value, _, _ in found), default=0.0) for found in strips]) * (1 + 1e-9)
            best = max(best, best_scale(float(self.demand @ price), worth, self.width, self.room))
            added = [self._add(solver, n, strip) for n, found in enumerate(strips) for strip in found]
            if not any(added) or time.monotonic() > end:
                break
        return best

    def _dearest(self, shelf, price: np.ndarray) -> list[tuple[float, int, np.ndarray]]:
        """For each length of a strip what the dearest one is worth by the mm, that length and its blanks."""
        room = shelf.width_mm
        total, steps, found = np.zeros(room + 1), [], []
        shapes = sorted((self.task.shapes[index] for index in shelf.shapes), key=lambda shape: shape.along_mm)
        for at, shape in enumerate(shapes):
            row = self.row_of[shape.type]
            for times in parts_of(min(self.task.demand[shape.type], room // shape.across_mm)):
                size = times * shape.across_mm
                tried = total[: room + 1 - size] + times * price[row]
                better = tried > total[size:] + 1e-9
                total[size:] = np.maximum(total[size:], tried)
                steps.append((row, times, size, better))
            if at + 1 == len(shapes) or shapes[at + 1].along_mm > shape.along_mm:
                found.append((float(total[room]) / shape.along_mm, shape.along_mm, self._traced(steps, room)))
        return found

    def _traced(self, steps: list[tuple], at: int) -> np.ndarray:
        counts = np.zeros(len(self.types))
        for row, times, size, better in reversed(steps):
            if at >= size and better[at - size]:
                counts[row] += times
                at -= size
        return counts

    def _master(self) -> highspy.Highs:
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("threads", 1)
        infinity, no_index, no_value = highspy.kHighsInf, np.array([], np.int32), np.array([], float)
        for number in self.demand:
            solver.addRow(float(number), infinity, 0, no_index, no_value)
        for length_mm in self.room:
            solver.addRow(-infinity, infinity if np.isinf(length_mm) else length_mm / 1e3, 0, no_index, no_value)
        longest = max((shape.along_mm for shape in self.task.shapes), default=1)
        for row in range(len(self.types)):  # a blank may be bought at ten times the dearest strip: always solvable
            cost = 10.0 * float(self.width.max()) * longest / 1e6
            solver.addCol(cost, 0.0, infinity, 1, np.array([row], np.int32), np.array([1.0]))
        return solver

    def _add(self, solver: highspy.Highs, number: int, strip: tuple[float, int, np.ndarray]) -> bool:
        _, length_mm, counts = strip
        key = (number, length_mm, counts.tobytes())
        held = np.flatnonzero(counts)
        if key in self.known or not len(held):
            return False
        self.known.add(key)
        rows = np.append(held, len(self.types) + number).astype(np.int32)
        values = np.append(counts[held], length_mm / 1e3)
        cost = float(self.width[number]) * length_mm / 1e6
        solver.addCol(cost, 0.0, highspy.kHighsInf, len(rows), rows, values)
        return True
