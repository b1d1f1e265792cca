"""The pool: every good level the search has come across, each set of blanks once, and where it may be cut from."""

import numpy as np

from jobs.calc.cutting.fill import Filled
from jobs.calc.cutting.levels import Level, Task


class Pool:
    """Levels by the blanks they hold; of two with the same blanks the shorter stays. Tables beside the list: counts
    (levels, types), length and width in mm."""

    def __init__(self, task: Task):
        self.task = task
        self.levels: list[Level] = []
        self.number: dict[tuple, int] = {}
        self._counts = np.zeros((1024, len(task.demand)), np.int16)
        self._size_mm = np.zeros((1024, 2), np.int64)

    def __len__(self) -> int:
        return len(self.levels)

    @property
    def counts(self) -> np.ndarray:
        return self._counts[: len(self.levels)]

    @property
    def length_mm(self) -> np.ndarray:
        return self._size_mm[: len(self.levels), 0]

    @property
    def across_mm(self) -> np.ndarray:
        return self._size_mm[: len(self.levels), 1]

    def add(self, level: Level) -> None:
        at = self.number.get(level.counts)
        if at is None:
            at = len(self.levels)
            self.number[level.counts] = at
            self.levels.append(level)
            self._write(at, level)
        elif (level.length_mm, level.across_mm) < (self.levels[at].length_mm, self.levels[at].across_mm):
            self.levels[at] = level
            self._write(at, level)

    def _write(self, at: int, level: Level) -> None:
        if at == len(self._counts):
            self._counts = np.concatenate([self._counts, np.zeros_like(self._counts)])
            self._size_mm = np.concatenate([self._size_mm, np.zeros_like(self._size_mm)])
        for type_, count in level.counts:
            self._counts[at, type_] = count
        self._size_mm[at] = level.length_mm, level.across_mm

    def keep(self, filled: Filled, candidate: int) -> None:
        """Add one candidate of a filled batch, looking at its columns only when it is new or shorter."""
        used = filled.used[:, candidate]
        types = np.flatnonzero(used)
        key = tuple(zip(types.tolist(), used[types].tolist(), strict=True))
        at = self.number.get(key)
        if at is None or filled.length_mm[candidate] < self.levels[at].length_mm:
            self.add(filled.level(candidate))
