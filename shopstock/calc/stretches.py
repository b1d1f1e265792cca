"""Where a roll is clean: the stretches between faults, and whether an ordered list of strips still fits them.

Faults are kept from the core end, so that a fault keeps its place as the roll gets shorter. Everything handed back is
measured from the free end, where a cut comes off.
"""

from collections.abc import Iterable, Sequence

Stretch = tuple[int, int]


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


def place_in_order(strip_lengths_mm: Sequence[int], stretches: Sequence[Stretch]) -> list[int] | None:
    """Start of each strip (mm from the free end) when cut in this order, or None when they do not fit.

    Each strip lies inside one clean stretch.
    Each strip takes the earliest place it can, which leaves the most for those behind it, so None means impossible.
    Worked: strips 4000, 5000 on [(0, 7500), (8000, 13000)] → [0, 8000].
    """
    starts: list[int] = []
    reached = 0
    for length in strip_lengths_mm:
        start = _first_start(length, reached, stretches)
        if start is None:
            return None
        starts.append(start)
        reached = start + length
    return starts


def _first_start(length_mm: int, reached_mm: int, stretches: Sequence[Stretch]) -> int | None:
    for low, high in stretches:
        start = max(low, reached_mm)
        if start + length_mm <= high:
            return start
    return None


def fits_in_order(strip_lengths_mm: Sequence[int], stretches: Sequence[Stretch]) -> bool:
    """Whether strips of these lengths (mm) can still be cut in this order from the clean stretches.

    Worked: 4000, 5000 fit [(0, 7500), (8000, 13000)]; 4000, 5000, 500 do not.
    """
    return place_in_order(strip_lengths_mm, stretches) is not None


def start_behind(promised_mm: Sequence[int], stretches: Sequence[Stretch]) -> int | None:
    """Where the part begins that no promise takes, in mm from the free end; None when the promises do not fit.

    Worked: 4000, 5000 promised of [(0, 7500), (8000, 15000)] → 13000.
    """
    starts = place_in_order(promised_mm, stretches)
    if starts is None:
        return None
    return starts[-1] + promised_mm[-1] if promised_mm else 0


def within(stretches: Iterable[Stretch], low_mm: int, high_mm: int) -> tuple[Stretch, ...]:
    """What of the stretches lies between two places. Worked: [(0, 7500), (8000, 9000)] from 500 to 8200 → (500, 7500),
    (8000, 8200).
    """
    clipped = ((max(low, low_mm), min(high, high_mm)) for low, high in stretches)
    return tuple((low, high) for low, high in clipped if low < high)
