"""The slice bound: less cloth than this no plan whatever can use, staged or not, whatever the hand that draws it.

Every millimetre along a roll crosses blanks side by side, and these fit the width: a knapsack. Each blank must be
crossed over its whole length in the turn it lies. Relaxing everything else leaves a linear program over such slices;
any prices for the blanks, scaled until no slice is worth more than its width, prove a bound, so it may stop any time.
"""

import time
from dataclasses import dataclass, replace
from functools import reduce
from math import ceil, gcd

import highspy
import numpy as np

from jobs.calc.cutting.levels import Task, make_task
from jobs.calc.cutting.problem import Problem

SMOOTHING = 0.6


@dataclass(frozen=True)
class Shelf:
    """All stretches of one width that take the same shapes: mm of width, mm of length there is, shapes that may lie."""

    width_mm: int
    length_mm: float
    shapes: tuple[int, ...]


def cloth_bound_mm2(problem: Problem, *, seconds: float = 1.0, rounds: int = 400) -> int:
    """Cloth in mm² that no plan for the problem can do without, the locked strips included.

    seconds and rounds limit the work; the bound is valid whenever it stops. Example: three blanks of 600 x 400 mm that
    may not be turned, from a roll 1000 mm wide, cannot lie side by side: 3 x 400 x 1000 = 1 200 000 mm².
    """
    locked = sum(strip.length_mm * problem.stock_by_id[strip.stock].usable_width_mm for strip in problem.locked_strips)
    task = make_task(without_narrow_faults(problem))
    if not task.demand or not task.stretches:
        return locked
    found = max(_area_mm2(task), SliceProgram(task).solve(seconds, rounds))
    step = step_mm2(task)
    return locked + step * ceil(found * (1 - 1e-9) / step - 1e-6)


def step_mm2(task: Task) -> int:
    """The cloth of every plan that is pushed together is a multiple of this many mm²."""
    lengths = [shape.along_mm for shape in task.shapes]
    return reduce(gcd, lengths, 0) * reduce(gcd, [stretch.cloth_width_mm for stretch in task.stretches], 0) or 1


def without_narrow_faults(problem: Problem) -> Problem:
    """The same problem as if faults of part of the width were sound: it needs no more cloth."""
    stock = tuple(
        replace(item, faults=tuple(fault for fault in item.faults if fault.across_from_mm is None))
        for item in problem.stock
    )
    return replace(problem, stock=stock)


def _area_mm2(task: Task) -> float:
    return float(sum(task.area_mm2(type_) * task.demand[type_] for type_ in task.types if any(task.allowed[type_])))


def shelves_of(task: Task) -> list[Shelf]:
    lengths: dict[tuple[int, tuple[int, ...]], float] = {}
    for number, stretch in enumerate(task.stretches):
        shapes = tuple(
            index
            for index, shape in enumerate(task.shapes)
            if task.allowed[shape.type][number]
            and shape.across_mm <= stretch.cloth_width_mm
            and shape.along_mm <= stretch.length_mm
        )
        if shapes:
            key = (stretch.cloth_width_mm, shapes)
            room = np.inf if stretch.stock.length_mm is None else stretch.length_mm
            lengths[key] = lengths.get(key, 0) + room
    return [Shelf(width, length, shapes) for (width, shapes), length in lengths.items()]


class SliceProgram:
    """The linear program over slices, its slices made as they are wanted."""

    def __init__(self, task: Task):
        self.task = task
        self.shelves = shelves_of(task)
        self.unit_mm = reduce(gcd, [shape.across_mm for shape in task.shapes])
        self.lies = sorted({index for shelf in self.shelves for index in shelf.shapes})
        self.types = sorted({task.shapes[index].type for index in self.lies})
        self.row_of = {index: row for row, index in enumerate(self.lies)}
        self.along = np.array([task.shapes[index].along_mm for index in self.lies], dtype=float)
        self.known: set[tuple] = set()

    def solve(self, seconds: float, rounds: int) -> float:
        """The best bound proved within the limits, in mm²."""
        if not self.shelves:
            return 0.0
        end = time.monotonic() + seconds
        solver = self._master()
        best, centre = 0.0, None
        for _ in range(rounds):
            solver.run()
            solution = solver.getSolution()
            price = np.maximum(np.array(solution.row_dual[: len(self.lies)]), 0)
            optimum = solver.getInfo().objective_function_value * 1e3
            mixed = price if centre is None else SMOOTHING * centre + (1 - SMOOTHING) * price
            proved, slices = self._prove(mixed)
            if centre is None or proved > best:
                best, centre = max(best, proved), mixed
            if not self._add(solver, slices):
                proved, slices = self._prove(price)
                if proved > best:
                    best, centre = proved, price
                if not self._add(solver, slices):
                    break
            if best >= optimum * (1 - 1e-7) or time.monotonic() > end:
                break
        return best

    def _prove(self, price: np.ndarray) -> tuple[float, list[tuple[int, np.ndarray]]]:
        """The bound that prices prove, and the slices that are worth most at them."""
        found = [self._dearest(shelf, price) for shelf in self.shelves]
        worth = np.array([value for value, _ in found]) * (1 + 1e-9)
        width = np.array([shelf.width_mm for shelf in self.shelves], dtype=float)
        room = np.array([shelf.length_mm for shelf in self.shelves])
        gain = sum(self.task.demand[type_] * self._price_of(type_, price) for type_ in self.types)
        return best_scale(gain, worth, width, room), [(n, counts) for n, (_, counts) in enumerate(found)]

    def _price_of(self, type_: int, price: np.ndarray) -> float:
        rows = [self.row_of[index] for index in self.task.shapes_of[type_] if index in self.row_of]
        return float(min(price[row] * self.along[row] for row in rows))

    def _dearest(self, shelf: Shelf, price: np.ndarray) -> tuple[float, np.ndarray]:
        """The slice of the shelf that is worth most: a bounded knapsack over widths, exact."""
        room = shelf.width_mm // self.unit_mm
        total = np.zeros(room + 1)
        steps, took = [], []
        for index in shelf.shapes:
            row = self.row_of[index]
            if price[row] <= 0:
                continue
            shape = self.task.shapes[index]
            for times in parts_of(min(self.task.demand[shape.type], shelf.width_mm // shape.across_mm)):
                size = times * shape.across_mm // self.unit_mm
                if size <= room:
                    tried = total[: room + 1 - size] + times * price[row]
                    better = tried > total[size:]
                    total[size:] = np.maximum(total[size:], tried)
                    steps.append((row, times, size))
                    took.append(better)
        counts = np.zeros(len(self.lies))
        at = room
        for (row, times, size), better in zip(reversed(steps), reversed(took), strict=True):
            if at >= size and better[at - size]:
                counts[row] += times
                at -= size
        return float(total[room]), counts

    def _master(self) -> highspy.Highs:
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("threads", 1)
        infinity, no_index, no_value = highspy.kHighsInf, np.array([], np.int32), np.array([], float)
        for _ in self.lies:
            solver.addRow(0.0, infinity, 0, no_index, no_value)
        for type_ in self.types:
            solver.addRow(float(self.task.demand[type_]), infinity, 0, no_index, no_value)
        for shelf in self.shelves:
            room = infinity if np.isinf(shelf.length_mm) else shelf.length_mm / 1e3
            solver.addRow(-infinity, room, 0, no_index, no_value)
        for row, index in enumerate(self.lies):
            at = len(self.lies) + self.types.index(self.task.shapes[index].type)
            solver.addCol(0.0, 0.0, infinity, 2, np.array([row, at], np.int32), np.array([-self.along[row] / 1e3, 1.0]))
        widest = max(shelf.width_mm for shelf in self.shelves)
        for row in range(len(self.lies)):
            solver.addCol(10.0 * widest, 0.0, infinity, 1, np.array([row], np.int32), np.array([1.0]))
        for number, shelf in enumerate(self.shelves):
            for index in shelf.shapes:
                counts = np.zeros(len(self.lies))
                shape = self.task.shapes[index]
                counts[self.row_of[index]] = min(self.task.demand[shape.type], shelf.width_mm // shape.across_mm)
                self._add(solver, [(number, counts)])
        return solver

    def _add(self, solver: highspy.Highs, slices: list[tuple[int, np.ndarray]]) -> bool:
        added = False
        for number, counts in slices:
            key = (number, counts.tobytes())
            held = np.flatnonzero(counts)
            if key in self.known or not len(held):
                continue
            self.known.add(key)
            rows = np.append(held, len(self.lies) + len(self.types) + number).astype(np.int32)
            values = np.append(counts[held], 1.0)
            solver.addCol(float(self.shelves[number].width_mm), 0.0, highspy.kHighsInf, len(rows), rows, values)
            added = True
        return added


def parts_of(number: int):
    """1, 2, 4 ... that add up to any count from 0 to number."""
    size = 1
    while number > 0:
        part = min(size, number)
        yield part
        number -= part
        size *= 2


def best_scale(gain: float, worth: np.ndarray, width: np.ndarray, room: np.ndarray) -> float:
    """The bound of prices scaled by the factor that proves most; a shelf's length costs what its slices overpay."""
    best = 0.0
    for scale in {float(w / k) for w, k in zip(width, worth, strict=True) if k > 0}:
        over = np.maximum(0, scale * worth - width)
        over[over <= 1e-9 * width] = 0
        if not (np.isinf(room) & (over > 0)).any():
            paid = float((over[over > 0] * room[over > 0]).sum())
            best = max(best, scale * gain - paid)
    return best
