"""The pool: every good level the search has come across, each set of blanks once, and where it may be cut from."""

import numpy as np

from jobs.calc.cutting.fill import Filled
from jobs.calc.cutting.levels import Level, Task


class Pool:
    """Levels by the blanks they hold; of two with the same blanks the shorter stays."""

    def __init__(self, task: Task):
        self.task = task
        self.levels: list[Level] = []
        self.number: dict[tuple, int] = {}

    def __len__(self) -> int:
        return len(self.levels)

    def add(self, level: Level) -> None:
        at = self.number.get(level.counts)
        if at is None:
            self.number[level.counts] = len(self.levels)
            self.levels.append(level)
        elif (level.length_mm, level.across_mm) < (self.levels[at].length_mm, self.levels[at].across_mm):
            self.levels[at] = level

    def keep(self, filled: Filled, candidate: int) -> None:
        """Add one candidate of a filled batch, looking at its columns only when it is new or shorter."""
        used = filled.used[:, candidate]
        types = np.flatnonzero(used)
        key = tuple(zip(types.tolist(), used[types].tolist(), strict=True))
        at = self.number.get(key)
        if at is None or filled.length_mm[candidate] < self.levels[at].length_mm:
            self.add(filled.level(candidate))

    def counts(self) -> np.ndarray:
        """How many of each type each level holds: (levels, types)."""
        table = np.zeros((len(self.levels), len(self.task.demand)), np.float64)
        for number, level in enumerate(self.levels):
            for type_, count in level.counts:
                table[number, type_] = count
        return table
