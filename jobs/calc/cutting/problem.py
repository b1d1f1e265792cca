"""What the planner is asked: the rolls, remnants and offcuts of one reinforcement and the blanks to cut from them."""

from dataclasses import dataclass, replace
from functools import cached_property

from jobs.calc.cutting.plan import Strip

KINDS = ("roll", "remnant", "offcut")
MOST_BLANKS = 2_000
MOST_STOCK = 500
LONGEST_MM = 10_000_000
WIDEST_MM = 20_000


class ProblemError(ValueError):
    """A problem that cannot be planned: where the fault is (a JSON path) and what to do about it."""

    def __init__(self, path: str, message: str):
        super().__init__(f"{path}: {message}")
        self.path = path
        self.message = message


@dataclass(frozen=True)
class Fault:
    """A length that must not be used, from the free end; across_* (from the left edge of the cloth) narrows it."""

    from_mm: int
    to_mm: int
    across_from_mm: int | None = None
    across_to_mm: int | None = None


@dataclass(frozen=True)
class Stock:
    """One roll, remnant or offcut; length_mm None is open-ended, trim_mm is taken off each side."""

    id: str
    kind: str
    width_mm: int
    trim_mm: int = 0
    length_mm: int | None = None
    faults: tuple[Fault, ...] = ()
    lot: str = ""
    cost_per_m2: float | None = None
    preference: int = 0

    @property
    def usable_width_mm(self) -> int:
        return self.width_mm - 2 * self.trim_mm


@dataclass(frozen=True)
class Blank:
    """A flat piece to cut, count times; turns lists the allowed quarter turns, same_lot names its matching group."""

    id: str
    across_mm: int
    along_mm: int
    count: int = 1
    turns: tuple[int, ...] = (0,)
    same_lot: str = ""

    @property
    def area_mm2(self) -> int:
        return self.across_mm * self.along_mm

    @property
    def sizes(self) -> tuple[tuple[int, int, bool], ...]:
        """(across, along, turned) for each way the blank may lie; a square lies one way only."""
        ways = {}
        for turn in self.turns:
            turned = turn % 180 == 90
            size = (self.along_mm, self.across_mm) if turned else (self.across_mm, self.along_mm)
            ways.setdefault(size, turned)
        return tuple((across, along, turned) for (across, along), turned in ways.items())


@dataclass(frozen=True)
class Problem:
    """Everything that decides a plan.

    pins ties blanks to a roll (blank id, stock id), forbidden names rolls that are not to be used, and locked_strips
    are kept exactly where they were marked out. The opening charge is the cloth worth saving to leave a roll unopened.
    """

    name: str
    stock: tuple[Stock, ...]
    blanks: tuple[Blank, ...]
    stages: int = 3
    allowance_mm: int = 0
    smallest_offcut_length_mm: int = 500
    smallest_offcut_width_mm: int = 300
    opening_charge_mm2: int = 0
    pins: tuple[tuple[str, str], ...] = ()
    forbidden: tuple[str, ...] = ()
    locked_strips: tuple[Strip, ...] = ()

    @classmethod
    def from_json(cls, data: object) -> "Problem":
        """The problem in the form of a JSON file; raises ProblemError with the path at fault."""
        from jobs.calc.cutting.reading import read_problem  # reading builds Problems, so it must import this module

        return read_problem(data)

    @cached_property
    def stock_by_id(self) -> dict[str, Stock]:
        return {stock.id: stock for stock in self.stock}

    @cached_property
    def blank_by_id(self) -> dict[str, Blank]:
        return {blank.id: blank for blank in self.blanks}

    @property
    def demand(self) -> dict[str, int]:
        """How many of each blank are still to be planned, the locked strips taken off."""
        left = {blank.id: blank.count for blank in self.blanks}
        for strip in self.locked_strips:
            for placed in strip.blanks:
                left[placed.id] -= 1
        return left

    def with_stages(self, stages: int) -> "Problem":
        return replace(self, stages=stages)
