"""Blanks longer than the fault that they lie beside: a fault of part of the width is taken as if it were longer.

A stretch has one clear width, so a strip beside a fault is no longer than the fault. Taken as longer it has room for a
whole strip. That narrows what lies around the fault, so it is done only where blanks are short without it.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace

from jobs.calc.cutting.problem import LONGEST_MM, Fault, Problem, Stock

MOST_LENGTHS = 8
MOST_TRIES = 200


def with_longer_faults(problem: Problem, score: Callable[[Problem], tuple]) -> Problem:
    """The problem with part-width faults made longer, one after the other, as long as the score gets smaller."""
    best, best_score, tries = problem, score(problem), 0
    for at, stock in enumerate(problem.stock):
        for number, fault in enumerate(stock.faults):
            if fault.across_from_mm is None or stock.id in problem.forbidden:
                continue
            for longer in _longer(best, best.stock[at], fault):
                if (tries := tries + 1) > MOST_TRIES:
                    return best
                tried = _with_fault(best, at, number, longer)
                if (its := score(tried)) < best_score:
                    best, best_score = tried, its
    return best


def _with_fault(problem: Problem, at: int, number: int, fault: Fault) -> Problem:
    stock = problem.stock[at]
    faults = (*stock.faults[:number], fault, *stock.faults[number + 1 :])
    return replace(problem, stock=(*problem.stock[:at], replace(stock, faults=faults), *problem.stock[at + 1 :]))


def _longer(problem: Problem, stock: Stock, fault: Fault) -> Iterator[Fault]:
    """The fault as long as a blank that fits beside it, reaching as far back or to the free end as it may."""
    low_mm, high_mm = _room(problem, stock, fault)
    for length_mm in _lengths(problem, stock, fault):
        for start_mm in dict.fromkeys((fault.from_mm, fault.to_mm - length_mm, low_mm, high_mm - length_mm)):
            stop_mm = start_mm + length_mm
            if low_mm <= start_mm <= fault.from_mm and fault.to_mm <= stop_mm <= high_mm:
                yield replace(fault, from_mm=start_mm, to_mm=stop_mm)


def _room(problem: Problem, stock: Stock, fault: Fault) -> tuple[int, int]:
    """How far the fault may reach each way before another fault, a locked strip or an end of the roll."""
    stops = [(other.from_mm, other.to_mm) for other in stock.faults if other != fault]
    stops += [(strip.from_mm, strip.to_mm) for strip in problem.locked_strips if strip.stock == stock.id]
    end_mm = LONGEST_MM if stock.length_mm is None else stock.length_mm
    low_mm = max((stop for _, stop in stops if stop <= fault.from_mm), default=0)
    high_mm = min((start for start, _ in stops if start >= fault.to_mm), default=end_mm)
    if any(start < fault.to_mm and fault.from_mm < stop for start, stop in stops):
        return fault.from_mm, fault.to_mm
    return low_mm, high_mm


def _lengths(problem: Problem, stock: Stock, fault: Fault) -> list[int]:
    """Lengths of blanks, longest first, that are longer than the fault and fit the clear width beside it."""
    left_mm = min(fault.across_from_mm - stock.trim_mm, stock.usable_width_mm)
    right_mm = stock.usable_width_mm - max(0, fault.across_to_mm - stock.trim_mm)
    clear_mm = max(left_mm, right_mm) - problem.allowance_mm
    demand = problem.demand
    sizes = {size[:2] for blank in problem.blanks if demand[blank.id] > 0 for size in blank.sizes}
    lengths = {along + problem.allowance_mm for across, along in sizes if across <= clear_mm}
    return sorted((length for length in lengths if length > fault.to_mm - fault.from_mm), reverse=True)[:MOST_LENGTHS]
