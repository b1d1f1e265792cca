"""Jobs served one after the other from lengths of cloth: what each takes, and which pieces find no place.

Longest first, first fit, as a careful cutter would. A job that is served here can be served; one that is not may still
be by a better plan, so a shortage is asked of the planner before anybody is told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from jobs.calc.cutting.first_fit import first_fit
from jobs.calc.cutting.levels import make_task
from jobs.calc.cutting.problem import Blank, Problem, Stock

ALL_THERE = date.min
FEW = 24  # lengths offered first; all are when these do not do


HERE, COMING, NEW = 0, 1, 2  # on the racks, ordered already, would have to be bought; used in this order


@dataclass(frozen=True)
class Cloth:
    """A clean length in mm of a usable width in mm, the first and last day it can be cut, and where it comes from."""

    width_mm: int
    length_mm: int
    there_on: date
    source: int = HERE
    begun: bool = False
    ends_on: date = date.max

    def may_be_cut(self, on: date) -> bool:
        return self.there_on <= on <= self.ends_on


@dataclass(frozen=True)
class JobOfDay:
    """What one job wants cut on a day; `key` names it."""

    key: int
    on: date
    blanks: tuple[Blank, ...]


@dataclass(frozen=True)
class ServedJob:
    """The lengths in mm cut for a job off the racks, off what was coming and off new rolls; blanks without a place.

    `new_rolls` counts the new rolls that this job is the first to cut from.
    """

    key: int
    here_mm: int
    coming_mm: int
    new_mm: int
    new_rolls: int
    missing: tuple[tuple[str, int], ...]

    @property
    def length_mm(self) -> int:
        return self.here_mm + self.coming_mm + self.new_mm


def serve(jobs: Sequence[JobOfDay], cloth: Sequence[Cloth], *, allowance_mm: int = 0) -> list[ServedJob]:
    """Serve jobs in the order given; each takes from what is there on its day and what those before it left.

    Lengths in mm; ``allowance_mm`` is added to each side of a blank. Raises ProblemError for blanks of no size. Source:
    first-fit decreasing. Worked: 1 m wide, 10 m on day 1: jobs of 6 m and 5 m → 6 m taken, then 5 m missing.
    """
    left = list(cloth)
    return [serve_one(job, left, allowance_mm=allowance_mm) for job in jobs]


def serve_one(job: JobOfDay, left: list[Cloth], *, allowance_mm: int = 0) -> ServedJob:
    """Serve one job, and take what it takes off ``left``; the rest as in ``serve``."""
    there = [number for number, item in enumerate(left) if item.may_be_cut(job.on) and item.length_mm > 0]
    if not job.blanks:
        return ServedJob(job.key, 0, 0, 0, 0, ())
    few = _likely(there, left)
    taken, missing = _fit(job, few, left, allowance_mm)
    if missing and len(few) < len(there):
        taken, missing = _fit(job, there, left, allowance_mm)
    of = [sum(mm for number, mm in taken.items() if left[number].source == source) for source in (HERE, COMING, NEW)]
    begun = sum(left[number].source == NEW and not left[number].begun for number in taken)
    for number, length_mm in taken.items():
        left[number] = replace(left[number], length_mm=left[number].length_mm - length_mm, begun=True)
    return ServedJob(job.key, *of, begun, tuple(missing.items()))


def _likely(there: list[int], left: list[Cloth]) -> list[int]:
    """A few of the lengths: what is on the racks, what comes, new rolls that are begun, others; the longest of them."""

    def turn(number: int) -> tuple[int, bool, int]:
        cloth = left[number]
        return cloth.source, cloth.source == NEW and not cloth.begun, -cloth.length_mm

    return sorted(there, key=turn)[:FEW]


def _fit(
    job: JobOfDay, numbers: Sequence[int], left: Sequence[Cloth], allowance_mm: int
) -> tuple[dict[int, int], dict[str, int]]:
    """Length in mm taken of each cloth by number, and blanks missing by id."""
    stock = tuple(_stock(number, left[number]) for number in numbers)
    task = make_task(Problem("", stock, job.blanks, allowance_mm=allowance_mm))
    placements, unplaced = first_fit(task)
    taken: dict[int, int] = {}
    for level, stretch in placements:
        number = int(task.stretches[stretch].stock.id)
        taken[number] = taken.get(number, 0) + level.length_mm
    missing: dict[str, int] = {}
    for type_, count in unplaced.items():
        for blank_id in task.blank_ids[type_][len(task.blank_ids[type_]) - count :]:
            missing[blank_id] = missing.get(blank_id, 0) + 1
    return taken, missing


def _stock(number: int, cloth: Cloth) -> Stock:
    return Stock(str(number), "roll", cloth.width_mm, 0, cloth.length_mm, preference=cloth.source)
