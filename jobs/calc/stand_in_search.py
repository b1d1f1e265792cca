"""Every stack of up to three plies of what is on the racks, tried as a stand-in for a part of a lay-up.

Nothing is left out by guesswork: all combinations are checked against what adds up over plies (fibre, stretching,
strength, thickness, mass), those that pass against bending in every order of their plies.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import comb

import numpy as np

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.ply_stiffness import stiff_ply
from jobs.calc.ply_strength import strength_method
from jobs.calc.stand_in import (
    DEFAULT_LIMIT,
    DEFAULT_TOLERANCE,
    NOTHING,
    STIFFNESS_TERMS,
    Measures,
    measures_of,
)

MOST_PLIES = 3
MOST_FOUND = 40
BATCH = 4096
# Room for rounding, so that a stack that just holds is not lost before its exact figures are worked out.
ROOM = 1e-9


@dataclass(frozen=True)
class Gap:
    """Where stand-ins go: the plies that stay on the mould side and on the other, and those to be replaced."""

    before: tuple[LaidPly, ...]
    replaced: tuple[LaidPly, ...]
    after: tuple[LaidPly, ...]

    @property
    def specified(self) -> tuple[LaidPly, ...]:
        return self.before + self.replaced + self.after

    def filled(self, plies: Sequence[LaidPly]) -> tuple[LaidPly, ...]:
        return (*self.before, *plies, *self.after)


@dataclass(frozen=True)
class _Sums:
    """Additive figures of options (a row each) and what they must come to; caps on thickness and mass."""

    rows: np.ndarray
    caps: np.ndarray
    needed: np.ndarray
    most: np.ndarray


def stand_ins(
    options: Sequence[LaidPly],
    gap: Gap,
    materials: Materials,
    *,
    tolerance: float = DEFAULT_TOLERANCE,
    limit: float = DEFAULT_LIMIT,
    most_plies: int = MOST_PLIES,
    most_found: int = MOST_FOUND,
) -> list[tuple[int, ...]]:
    """Stacks of options (as indices, mould side first) that hold everywhere: fewest plies, then lightest.

    ``tolerance`` and ``limit`` as in stand_in.compare. A stack is left out when it still holds without one of its
    plies. Raises NoProperties, StiffnessError, PropertiesError. Worked: for the woven roving 600 between two mats of
    450, options woven roving 300 and mat 600 → the two plies of 300.
    """
    if not options:
        return []
    method = strength_method([*options, *gap.specified], materials)
    specified = measures_of(gap.specified, materials, method)
    sums = _sums(options, gap, materials, method, specified, tolerance, limit)
    bending = _Bending(options, gap, materials, specified, tolerance)
    found: list[tuple[int, ...]] = []
    for size in range(1, most_plies + 1):
        for stack in _holding(sums, bending, size, most_found - len(found), found):
            found.append(stack)
        if len(found) >= most_found:
            break
    return found


def _sums(
    options: Sequence[LaidPly],
    gap: Gap,
    materials: Materials,
    method: str | None,
    specified: Measures,
    tolerance: float,
    limit: float,
) -> _Sums:
    fixed = [measures_of([ply], materials, method) for ply in (*gap.before, *gap.after)]
    measured = [measures_of([ply], materials, method) for ply in options]
    target = np.array(_additive(specified))
    counts = _counts(specified)
    base = sum((np.array(_additive(one)) for one in fixed), np.zeros(len(target)))
    caps_base = sum((np.array(_capped(one)) for one in fixed), np.zeros(2))
    return _Sums(
        rows=np.array([_additive(one) for one in measured])[:, counts],
        caps=np.array([_capped(one) for one in measured]),
        needed=((1 - tolerance) * target - base)[counts] - ROOM * np.abs(target[counts]),
        most=(1 + limit) * np.array(_capped(specified)) * (1 + ROOM) - caps_base,
    )


def _additive(measures: Measures) -> list[float]:
    return [*measures.fibre_gsm, *measures.stretching, *(measures.strength or ())]


def _capped(measures: Measures) -> list[float]:
    return [measures.thickness_mm, measures.mass_gsm]


def _counts(specified: Measures) -> np.ndarray:
    """Which additive figures the specification has at all."""
    groups = [specified.fibre_gsm, specified.stretching, specified.strength or ()]
    return np.array([value > NOTHING * max(group) for group in groups for value in group])


def _holding(
    sums: _Sums, bending: "_Bending", size: int, wanted: int, smaller: list[tuple[int, ...]]
) -> Iterator[tuple[int, ...]]:
    """Stacks of one size that hold, lightest first, none of which holds with a ply less."""
    passed = _passing_sums(sums, size)
    masses = sums.caps[:, 1][passed].sum(axis=1)
    passed = passed[np.argsort(masses, kind="stable")]
    known = {tuple(sorted(stack)) for stack in smaller}
    for start in range(0, len(passed), BATCH):
        batch = passed[start : start + BATCH]
        batch = batch[[not _has_smaller(tuple(row), known) for row in batch.tolist()]] if len(batch) else batch
        for stack in bending.best_orders(batch):
            yield stack
            wanted -= 1
            if wanted <= 0:
                return


def _has_smaller(stack: tuple[int, ...], known: set[tuple[int, ...]]) -> bool:
    subsets = {stack[:at] + stack[at + 1 :] for at in range(len(stack))}
    if len(stack) == 3:
        subsets |= {(one,) for one in stack}
    return any(tuple(sorted(subset)) in known for subset in subsets)


def _passing_sums(sums: _Sums, size: int) -> np.ndarray:
    """Sorted index rows of every combination of ``size`` options that passes all sums."""
    count = len(sums.rows)
    if size == 1:
        kept = _kept(sums.rows, sums.caps, sums)
        return np.flatnonzero(kept)[:, None]
    if size == 2:
        pairs = _pairs(count)
        kept = _kept_of(pairs, sums)
        return pairs[kept]
    pairs = _pairs(count)
    pair_rows, pair_caps = sums.rows[pairs].sum(axis=1), sums.caps[pairs].sum(axis=1)
    starts = np.searchsorted(pairs[:, 0], np.arange(count))
    found = []
    for first in range(count):
        rest = slice(starts[first], None)
        light = np.flatnonzero((pair_caps[rest] + sums.caps[first] <= sums.most).all(axis=1)) + starts[first]
        kept = light[(pair_rows[light] + sums.rows[first] >= sums.needed).all(axis=1)]
        found.append(np.column_stack([np.full(len(kept), first), pairs[kept]]))
    return np.concatenate(found)


def _pairs(count: int) -> np.ndarray:
    first, second = np.triu_indices(count)
    return np.column_stack([first, second])


def _kept_of(stacks: np.ndarray, sums: _Sums) -> np.ndarray:
    return _kept(sums.rows[stacks].sum(axis=1), sums.caps[stacks].sum(axis=1), sums)


def _kept(rows: np.ndarray, caps: np.ndarray, sums: _Sums) -> np.ndarray:
    return (rows >= sums.needed).all(axis=1) & (caps <= sums.most).all(axis=1)


class _Bending:
    """Bending of many stacks at once, in the place of the replaced plies, in every order."""

    def __init__(
        self,
        options: Sequence[LaidPly],
        gap: Gap,
        materials: Materials,
        specified: Measures,
        tolerance: float,
    ):
        self.options = _stiff(options, materials)
        self.before = _stiff(gap.before, materials)
        self.after = _stiff(gap.after, materials)
        target = np.array(specified.bending)
        self.counts = target > NOTHING * target.max()
        self.target = target[self.counts]
        self.least = 1 - tolerance - ROOM

    def best_orders(self, stacks: np.ndarray) -> list[tuple[int, ...]]:
        """Those stacks that hold in bending, each in the order of plies in which its worst ratio is best."""
        if not len(stacks):
            return []
        orders = list(permutations(range(stacks.shape[1])))
        worst = np.column_stack([self._worst_ratios(stacks[:, order]) for order in orders])
        best = worst.argmax(axis=1)
        holds = worst[np.arange(len(stacks)), best] >= self.least
        return [tuple(int(stacks[row, at]) for at in orders[best[row]]) for row in np.flatnonzero(holds)]

    def _worst_ratios(self, stacks: np.ndarray) -> np.ndarray:
        terms, heights = self.options
        below, above = (_repeated(fixed, len(stacks)) for fixed in (self.before, self.after))
        stiff = np.concatenate([below[0], terms[stacks], above[0]], axis=1)
        thick = np.concatenate([below[1], heights[stacks], above[1]], axis=1)
        return (stacked_bending(stiff, thick)[:, self.counts] / self.target).min(axis=1)


def _repeated(fixed: tuple[np.ndarray, np.ndarray], times: int) -> tuple[np.ndarray, np.ndarray]:
    terms, heights = fixed
    return np.broadcast_to(terms, (times, *terms.shape)), np.broadcast_to(heights, (times, *heights.shape))


def _stiff(plies: Sequence[LaidPly], materials: Materials) -> tuple[np.ndarray, np.ndarray]:
    stiff = [stiff_ply(ply, materials) for ply in plies]
    terms = [[ply.stiffness[at, at] for _, at in STIFFNESS_TERMS] for ply in stiff]
    return np.array(terms).reshape(len(stiff), len(STIFFNESS_TERMS)), np.array([ply.thickness_mm for ply in stiff])


def stacked_bending(stiffness: np.ndarray, thickness_mm: np.ndarray) -> np.ndarray:
    """D terms (N·mm) of many stacks: stiffness (stacks × plies × terms, N/mm²) and thickness (stacks × plies, mm).

    About the middle of each stack. Source: NASA RP-1351. Worked: one ply of 1000 N/mm², 6 mm → 18 000.
    """
    tops = np.cumsum(thickness_mm, axis=1)
    middle = tops[:, -1:] / 2
    high, low = tops - middle, tops - thickness_mm - middle
    return (stiffness * ((high**3 - low**3) / 3)[:, :, None]).sum(axis=1)


def rough_ratios(
    stacks: Sequence[Sequence[LaidPly]],
    specified: Sequence[LaidPly],
    materials: Materials,
    *,
    tolerance: float = DEFAULT_TOLERANCE,
    limit: float = DEFAULT_LIMIT,
) -> list[tuple[float, bool]]:
    """Of each whole stack the worst ratio of what adds up over plies, and whether that and the limits hold.

    Bending is left out: a stack that holds here may still fail in stand_in.compare, none that fails here passes there.
    Raises NoProperties, StiffnessError, PropertiesError. Worked: mat 600 for the woven roving 600 between two mats of
    450 → 0.882, False.
    """
    different = {id(ply): ply for stack in [*stacks, specified] for ply in stack}
    method = strength_method(list(different.values()), materials)
    measured = {key: measures_of([ply], materials, method) for key, ply in different.items()}
    figures = {key: np.array([*_additive(one), *_capped(one)]) for key, one in measured.items()}
    wanted = sum(figures[id(ply)] for ply in specified)
    parts = len(wanted) - 2
    counts = _counts(measures_of(specified, materials, method))
    found = []
    for stack in stacks:
        shares = sum(figures[id(ply)] for ply in stack)
        worst = float((shares[:parts][counts] / wanted[:parts][counts]).min())
        within = bool((shares[parts:] <= (1 + limit) * wanted[parts:] * (1 + ROOM)).all())
        found.append((worst, within and worst >= 1 - tolerance - ROOM))
    return found


def combinations_tried(options: int, most_plies: int = MOST_PLIES) -> int:
    """How many stacks of 1 to ``most_plies`` plies there are, order apart. Worked: 200 options → 1 373 700."""
    return sum(comb(options + size - 1, size) for size in range(1, most_plies + 1))
