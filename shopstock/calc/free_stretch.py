"""What single piece a roll can still give beside what is already promised from it."""

from collections.abc import Iterable, Sequence

from shopstock.calc.stretches import Damage, Promised, Stretch, clean_stretches, starts_of


def longest_free_stretch(length_mm: int, faults: Iterable[Damage], promises: Sequence[Promised]) -> int:
    """Longest single piece in mm that is clean and not promised; 0 when there is none.

    ``length_mm`` on the roll, ``promises`` in the order of cutting. Raises FaultError. Promises that no longer fit take
    everything. Worked: 10 000 mm, fault (2000, 2500) from the core, 7000 promised → 2000.
    """
    faults = list(faults)
    starts = starts_of(promises, length_mm, faults)
    if starts is None:
        return 0
    taken = [(start, start + promise.length_mm) for start, promise in zip(starts, promises, strict=True)]
    clean = clean_stretches(length_mm, [(fault.from_mm, fault.to_mm) for fault in faults])
    return max((gap for low, high in clean for gap in _gaps(low, high, taken)), default=0)


def _gaps(low: int, high: int, taken: Sequence[Stretch]) -> Iterable[int]:
    reached = low
    for start, end in taken:
        if start < high and low < end:
            yield max(low, start) - reached
            reached = min(high, end)
    yield high - reached
