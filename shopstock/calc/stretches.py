"""Where a roll is clean: the stretches between faults, and whether an ordered list of strips still fits them.

Faults are kept from the core end, so that a fault keeps its place as the roll gets shorter. Everything handed back is
measured from the free end, where a cut comes off.
"""

from collections.abc import Iterable, Sequence
from typing import Protocol

Stretch = tuple[int, int]


class Damage(Protocol):
    """A fault in mm from the core end; across_mm, from the left edge of the roll, is None for one right across."""

    from_mm: int
    to_mm: int
    across_mm: Stretch | None


class Promised(Protocol):
    """A strip promised to a plan: its length, and the (from, to) mm across that its pieces take, none for all of it."""

    length_mm: int
    taken_across: Sequence[Sequence[int]]


class FaultError(ValueError):
    """A fault whose ends make no sense."""


def from_free_end(length_mm: int, fault_from_core_mm: Stretch) -> Stretch:
    """Turn a stretch measured from the core end (mm) into one from the free end (mm), clipped to the roll.

    Worked: on a 10 000 mm roll a fault at 2000–2500 from the core lies at 7500–8000 from the free end.
    """
    low, high = fault_from_core_mm
    return max(0, length_mm - high), max(0, length_mm - low)


def merged_faults(length_mm: int, faults: Iterable[Stretch]) -> list[Stretch]:
    """Faults (mm from the core end) as separate stretches in mm from the free end, overlaps joined.

    A fault that was cut off with the roll's end is dropped. A fault of no length is a splice line: nothing is lost,
    but no strip may lie across it. Raises FaultError. Worked: 10 000 mm, faults (2000, 2500) and (2400, 3000) →
    [(7000, 8000)].
    """
    merged: list[Stretch] = []
    for start, end in sorted(from_free_end(length_mm, fault) for fault in faults if _lies_on_roll(length_mm, fault)):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return merged


def _lies_on_roll(length_mm: int, fault: Stretch) -> bool:
    low, high = fault
    if low < 0 or high < low:
        raise FaultError(f"A fault from {low} mm to {high} mm makes no sense: give from and to, from not below 0.")
    return low < length_mm


def clean_stretches(length_mm: int, faults: Iterable[Stretch]) -> list[Stretch]:
    """Clean stretches of a roll of ``length_mm``, as (start, end) in mm from the free end.

    ``faults`` are (from, to) in mm from the core end, in any order. Raises FaultError.
    Worked: 10 000 mm with a fault (2000, 2500) from the core → [(0, 7500), (8000, 10000)].
    """
    clean: list[Stretch] = []
    start = 0
    for fault_start, fault_end in merged_faults(length_mm, faults):
        clean.append((start, fault_start))
        start = fault_end
    clean.append((start, length_mm))
    return [(low, high) for low, high in clean if high > low]


def merged_fault_length(length_mm: int, faults: Iterable[Stretch]) -> int:
    """Length in mm lost to faults on a roll of ``length_mm``, overlaps counted once. Raises FaultError.

    Worked: 10 000 mm, faults (2000, 2500) and (2400, 3000) → 1000.
    """
    return sum(end - start for start, end in merged_faults(length_mm, faults))


def longest_clean_stretch(length_mm: int, faults: Iterable[Stretch]) -> int:
    """Longest single piece in mm that the roll can still give; 0 when there is none. Raises FaultError.

    Worked: 10 000 mm with a fault (2000, 2500) from the core → 7500.
    """
    return max((end - start for start, end in clean_stretches(length_mm, faults)), default=0)


def place_each(strips: Iterable[tuple[int, Sequence[Stretch]]], reached_mm: int = 0) -> list[int] | None:
    """Start of each strip (mm from the free end) when cut in this order, or None when they do not fit.

    Each lies inside one of its own clean stretches, behind `reached_mm`. Each takes the earliest place it can, which
    leaves the most for those behind it, so None means impossible.
    Worked: (4000, [(0, 5000)]) and (3000, [(0, 9000)]) → [0, 4000].
    """
    starts: list[int] = []
    for length, stretches in strips:
        start = _first_start(length, reached_mm, stretches)
        if start is None:
            return None
        starts.append(start)
        reached_mm = start + length
    return starts


def _first_start(length_mm: int, reached_mm: int, stretches: Sequence[Stretch]) -> int | None:
    for low, high in stretches:
        start = max(low, reached_mm)
        if start + length_mm <= high:
            return start
    return None


def starts_of(promises: Sequence[Promised], length_mm: int, faults: Iterable[Damage]) -> list[int] | None:
    """Start of each promised strip (mm from the free end) when cut in this order, or None when they do not fit.

    A strip may lie beside a fault that none of its pieces reaches. Raises FaultError. Worked: on 10 000 mm with a fault
    2000–2500 from the core and 0–200 across, a strip of 9000 with pieces 300–900 across → [0]; of all the width → None.
    """
    faults = list(faults)
    return place_each((promise.length_mm, _clean_for(promise, length_mm, faults)) for promise in promises)


def _clean_for(promise: Promised, length_mm: int, faults: Sequence[Damage]) -> list[Stretch]:
    return clean_stretches(
        length_mm, [(fault.from_mm, fault.to_mm) for fault in faults if meet(fault.across_mm, promise.taken_across)]
    )


def meet(across_mm: Stretch | None, taken_across: Sequence[Sequence[int]]) -> bool:
    """Whether pieces that take these parts of the width reach a fault. Worked: (0, 200) and [(200, 900)] → False."""
    if across_mm is None or not taken_across:
        return True
    return any(start < across_mm[1] and across_mm[0] < end for start, end in taken_across)


def length_lost(length_mm: int, faults: Iterable[Damage], promises: Sequence[Promised]) -> int:
    """Length in mm under faults that no promised strip lies beside, overlaps counted once. Raises FaultError.

    Worked: 10 000 mm, a fault 2000–2500 from the core and 0–200 across: 500; with 7700 promised beside it, 300.
    """
    faults = list(faults)
    lost = merged_faults(length_mm, [(fault.from_mm, fault.to_mm) for fault in faults])
    beside = any(fault.across_mm is not None for fault in faults) and any(promise.taken_across for promise in promises)
    starts = (beside and starts_of(promises, length_mm, faults)) or []
    strips = [(start, start + promise.length_mm) for start, promise in zip(starts, promises, strict=False)]
    shared = sum(max(0, min(high, end) - max(low, start)) for low, high in lost for start, end in strips)
    return sum(high - low for low, high in lost) - shared


def start_behind(promises: Sequence[Promised], length_mm: int, faults: Iterable[Damage]) -> int | None:
    """Where the part begins that no promise takes, in mm from the free end; None when the promises do not fit.

    Worked: 4000 and 5000 promised of 15 000 mm with a fault 7000–7500 from the core → 13000.
    """
    starts = starts_of(promises, length_mm, faults)
    if starts is None:
        return None
    return starts[-1] + promises[-1].length_mm if promises else 0


def clear_behind(promises: Sequence[Promised], length_mm: int, faults: Iterable[Damage]) -> tuple[Stretch, ...]:
    """Clean stretches (mm from the free end) that no promise takes; none when the promises do not fit.

    Raises FaultError. Worked: 4000 promised of 10 000 mm with a fault 2000–2500 from the core → (4000, 7500), (8000,
    10000).
    """
    faults = list(faults)
    start_mm = start_behind(promises, length_mm, faults)
    if start_mm is None:
        return ()
    return within(clean_stretches(length_mm, [(fault.from_mm, fault.to_mm) for fault in faults]), start_mm, length_mm)


def within(stretches: Iterable[Stretch], low_mm: int, high_mm: int) -> tuple[Stretch, ...]:
    """What of the stretches lies between two places. Worked: [(0, 7500), (8000, 9000)] from 500 to 8200 → (500, 7500),
    (8000, 8200).
    """
    clipped = ((max(low, low_mm), min(high, high_mm)) for low, high in stretches)
    return tuple((low, high) for low, high in clipped if low < high)
