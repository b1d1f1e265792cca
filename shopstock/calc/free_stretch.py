"""What single piece a roll can still give beside what is already promised from it."""

from collections.abc import Iterable, Sequence

from shopstock.calc.stretches import Stretch, clean_stretches, place_in_order


def longest_free_stretch(length_mm: int, faults: Iterable[Stretch], promised_mm: Sequence[int]) -> int:
    """Longest single piece in mm that is clean and not promised; 0 when there is none.

    ``length_mm`` on the roll, ``faults`` as (from, to) in mm from the core end, ``promised_mm`` in the order of
    cutting. Raises FaultError. Promises that no longer fit count as taking everything. Worked: 10 000 mm, fault
    (2000, 2500) from the core, 7000 promised → 2000.
    """
    stretches = clean_stretches(length_mm, faults)
    starts = place_in_order(promised_mm, stretches)
    if starts is None:
        return 0
    taken = [(start, start + length) for start, length in zip(starts, promised_mm, strict=True)]
    return max((gap for low, high in stretches for gap in _gaps(low, high, taken)), default=0)


def _gaps(low: int, high: int, taken: Sequence[Stretch]) -> Iterable[int]:
    reached = low
    for start, end in taken:
        if low <= start < high:
            yield start - reached
            reached = end
    yield high - reached
