"""Stretches: the lengths of each roll that can be used, between its ends, its faults and the strips already locked."""

from dataclasses import dataclass, replace

from jobs.calc.cutting.plan import Strip
from jobs.calc.cutting.problem import Fault, Problem, Stock


@dataclass(frozen=True)
class Stretch:
    """A usable length of one roll; x_mm is where its clear width starts inside the usable width of the cloth.

    cloth_width_mm is the usable width that a strip takes off the roll; width_mm is what can be filled of it. Beside a
    fault of part of the width sides holds (start, width) of the narrower clear parts.
    """

    stock: Stock
    from_mm: int
    length_mm: int
    x_mm: int
    width_mm: int
    sides: tuple[tuple[int, int], ...] = ()

    @property
    def cloth_width_mm(self) -> int:
        return self.stock.usable_width_mm

    @property
    def to_mm(self) -> int:
        return self.from_mm + self.length_mm


def usable_stretches(problem: Problem, *, open_length_mm: int) -> tuple[Stretch, ...]:
    """Every usable stretch, remnants and offcuts before rolls; an open roll ends after open_length_mm."""
    stock = [item for item in problem.stock if item.id not in problem.forbidden]
    stock.sort(key=lambda item: (item.preference, item.kind == "roll", item.length_mm is None, item.length_mm or 0))
    return tuple(stretch for item in stock for stretch in _stretches_of(item, problem.locked_strips, open_length_mm))


def _stretches_of(stock: Stock, locked: tuple[Strip, ...], open_length_mm: int) -> list[Stretch]:
    end_mm = _end_mm(stock, locked, open_length_mm)
    stops = [(strip.from_mm, strip.to_mm, None) for strip in locked if strip.stock == stock.id]
    stops += [(fault.from_mm, fault.to_mm, fault) for fault in stock.faults]
    cuts = sorted({0, end_mm, *(mm for start, stop, _ in stops for mm in (start, stop))})
    pieces = []
    for start, stop in zip(cuts, cuts[1:], strict=False):
        over = [fault for low, high, fault in stops if low < stop and start < high]
        clear = _clear_widths(stock, over)
        if clear:
            pieces.append(Stretch(stock, start, stop - start, *clear[0], tuple(clear[1:])))
    return _joined(pieces)


def _end_mm(stock: Stock, locked: tuple[Strip, ...], open_length_mm: int) -> int:
    if stock.length_mm is not None:
        return stock.length_mm
    ends = [fault.to_mm for fault in stock.faults] + [strip.to_mm for strip in locked if strip.stock == stock.id]
    return max(ends, default=0) + open_length_mm


def _clear_widths(stock: Stock, over: list[Fault | None]) -> list[tuple[int, int]]:
    """(start, width) of the parts clear of the faults that lie across this length, the widest first.

    A locked strip, None, leaves nothing clear.
    """
    if any(fault is None or fault.across_from_mm is None for fault in over):
        return []
    gaps, reached_mm = [], 0
    for fault in sorted(over, key=lambda fault: fault.across_from_mm):
        gaps.append((reached_mm, min(fault.across_from_mm - stock.trim_mm, stock.usable_width_mm) - reached_mm))
        reached_mm = max(reached_mm, fault.across_to_mm - stock.trim_mm)
    gaps.append((reached_mm, stock.usable_width_mm - reached_mm))
    return sorted((gap for gap in gaps if gap[1] > 0), key=lambda gap: (-gap[1], gap[0]))


def _joined(pieces: list[Stretch]) -> list[Stretch]:
    joined: list[Stretch] = []
    for piece in pieces:
        before = joined[-1] if joined else None
        if before and before.to_mm == piece.from_mm and _clear(before) == _clear(piece):
            joined[-1] = replace(before, length_mm=before.length_mm + piece.length_mm)
        else:
            joined.append(piece)
    return joined


def _clear(stretch: Stretch) -> tuple:
    return stretch.x_mm, stretch.width_mm, stretch.sides
