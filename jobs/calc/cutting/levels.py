"""Levels: what the search works with before it becomes strips. Types of blanks, the ways they lie, filled levels."""

from collections import Counter
from dataclasses import dataclass, field

from jobs.calc.cutting.problem import Blank, Problem
from jobs.calc.cutting.stretches import Stretch, usable_stretches

Row = tuple[int, ...]
Column = tuple[Row, ...]


@dataclass(frozen=True)
class Shape:
    """One way a type of blank may lie, the cutting allowance included."""

    type: int
    across_mm: int
    along_mm: int
    turned: bool


@dataclass(frozen=True)
class Level:
    """A full-width length: columns side by side, in each column rows end to end, in each row shapes side by side."""

    columns: tuple[Column, ...]
    across_mm: int
    length_mm: int
    counts: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Task:
    """A problem made ready for the search: equal blanks are one type, and each type knows the stretches it may use."""

    problem: Problem
    stretches: tuple[Stretch, ...]
    shapes: tuple[Shape, ...]
    shapes_of: tuple[tuple[int, ...], ...]
    demand: tuple[int, ...]
    blank_ids: tuple[tuple[str, ...], ...]
    allowed: tuple[tuple[bool, ...], ...]
    price_mm: tuple[int, ...]
    homes: dict[str, str] = field(default_factory=dict)

    @property
    def types(self) -> range:
        return range(len(self.demand))

    def area_mm2(self, type_: int) -> int:
        shape = self.shapes[self.shapes_of[type_][0]]
        return shape.across_mm * shape.along_mm

    def level(self, columns: tuple[Column, ...]) -> Level:
        """The level that these columns make, its length cut back to the longest column."""
        counts = Counter(self.shapes[shape].type for column in columns for row in column for shape in row)
        across_mm = sum(column_across_mm(self, column) for column in columns)
        length_mm = max((column_along_mm(self, column) for column in columns), default=0)
        return Level(columns, across_mm, length_mm, tuple(sorted(counts.items())))

    def may_hold(self, level: Level, stretch: int) -> bool:
        """Whether a level may be cut from a stretch: width, length and what its blanks are tied to."""
        place = self.stretches[stretch]
        if level.across_mm > place.width_mm or level.length_mm > place.length_mm:
            return False
        return all(self.allowed[type_][stretch] for type_, _ in level.counts)

    def price_mm2(self, level: Level, stretch: int) -> int:
        """What the search counts for a level: its cloth, weighed by cost where every roll has a cost."""
        return level.length_mm * self.price_mm[stretch]


def row_across_mm(task: Task, row: Row) -> int:
    return sum(task.shapes[shape].across_mm for shape in row)


def row_along_mm(task: Task, row: Row) -> int:
    return max(task.shapes[shape].along_mm for shape in row)


def column_across_mm(task: Task, column: Column) -> int:
    return max(row_across_mm(task, row) for row in column)


def column_along_mm(task: Task, column: Column) -> int:
    return sum(row_along_mm(task, row) for row in column)


def make_task(problem: Problem, homes: dict[str, str] | None = None) -> Task:
    """The task of a problem; homes names the lot that each same-lot group is to be cut from."""
    homes = homes or {}
    open_length_mm = sum(
        (max(blank.across_mm, blank.along_mm) + problem.allowance_mm) * blank.count for blank in problem.blanks
    )
    stretches = usable_stretches(problem, open_length_mm=open_length_mm)
    groups: dict[tuple, list[str]] = {}
    demand = problem.demand
    for blank in problem.blanks:
        if demand[blank.id] > 0:
            key = (_sizes(problem, blank), _allowed(problem, blank, stretches, homes))
            groups.setdefault(key, []).extend([blank.id] * demand[blank.id])
    return _task_of(problem, stretches, groups, homes)


def _task_of(problem: Problem, stretches: tuple[Stretch, ...], groups: dict[tuple, list[str]], homes: dict) -> Task:
    shapes: list[Shape] = []
    shapes_of = []
    for type_, (sizes, _) in enumerate(groups):
        shapes_of.append(tuple(range(len(shapes), len(shapes) + len(sizes))))
        shapes += [Shape(type_, across_mm, along_mm, turned) for across_mm, along_mm, turned in sizes]
    return Task(
        problem=problem,
        stretches=stretches,
        shapes=tuple(shapes),
        shapes_of=tuple(shapes_of),
        demand=tuple(len(ids) for ids in groups.values()),
        blank_ids=tuple(tuple(ids) for ids in groups.values()),
        allowed=tuple(allowed for _, allowed in groups),
        price_mm=_prices_mm(stretches),
        homes=homes,
    )


def _prices_mm(stretches: tuple[Stretch, ...]) -> tuple[int, ...]:
    costs = [stretch.stock.cost_per_m2 for stretch in stretches]
    if any(not cost for cost in costs):
        return tuple(stretch.cloth_width_mm for stretch in stretches)
    return tuple(
        round(stretch.cloth_width_mm * cost / min(costs)) for stretch, cost in zip(stretches, costs, strict=True)
    )


def _sizes(problem: Problem, blank: Blank) -> tuple[tuple[int, int, bool], ...]:
    extra_mm = problem.allowance_mm
    return tuple((across_mm + extra_mm, along_mm + extra_mm, turned) for across_mm, along_mm, turned in blank.sizes)


def _allowed(problem: Problem, blank: Blank, stretches: tuple[Stretch, ...], homes: dict) -> tuple[bool, ...]:
    pinned = {stock_id for blank_id, stock_id in problem.pins if blank_id == blank.id}
    sizes = _sizes(problem, blank)
    return tuple(
        (not pinned or stretch.stock.id in pinned)
        and (not blank.same_lot or homes.get(blank.same_lot) in (None, lot_of(stretch.stock)))
        and any(across <= stretch.width_mm and along <= stretch.length_mm for across, along, _ in sizes)
        for stretch in stretches
    )


def lot_of(stock) -> str:
    """The lot of a roll; a roll without one is a lot of its own, since nothing says that it matches another."""
    return f"lot {stock.lot}" if stock.lot else f"roll {stock.id}"
