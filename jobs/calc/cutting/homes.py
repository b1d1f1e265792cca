"""Which lot each same-lot group is cut from, and how long faults are taken: tried with quick plans, the best kept."""

from collections.abc import Callable
from itertools import product

from jobs.calc.cutting.first_fit import first_fit
from jobs.calc.cutting.lengthened import with_longer_faults
from jobs.calc.cutting.levels import Task, lot_of, make_task
from jobs.calc.cutting.problem import Problem
from jobs.calc.cutting.worth import worth

MOST_TRIALS = 64

Score = Callable[[Task], tuple]


def settled_task(problem: Problem) -> Task:
    """The task of a problem with a lot chosen for every same-lot group; where blanks are short, with longer faults."""
    task = _with_homes(problem)
    narrow = any(fault.across_from_mm is not None for stock in problem.stock for fault in stock.faults)
    if not narrow or not _quick_score(task)[0]:
        return task
    longer = with_longer_faults(problem, lambda tried: _quick_score(make_task(tried, task.homes)))
    return task if longer is problem else make_task(longer, task.homes)


def _with_homes(problem: Problem) -> Task:
    choices = _choices(problem)
    if not choices:
        return make_task(problem)
    tries = 1
    for lots in choices.values():
        tries *= len(lots)
    picks = product(*choices.values()) if tries <= MOST_TRIALS else _one_by_one(problem, choices)
    tasks = (make_task(problem, dict(zip(choices, lots, strict=True))) for lots in picks)
    return min(tasks, key=_quick_score)


def _choices(problem: Problem) -> dict[str, list[str]]:
    lots = list(dict.fromkeys(lot_of(stock) for stock in problem.stock if stock.id not in problem.forbidden))
    groups = {blank.same_lot: lots for blank in problem.blanks if blank.same_lot}
    for strip in problem.locked_strips:
        for placed in strip.blanks:
            if group := problem.blank_by_id[placed.id].same_lot:
                groups[group] = [lot_of(problem.stock_by_id[strip.stock])]
    return groups


def _one_by_one(problem: Problem, choices: dict[str, list[str]]):
    """Settle group after group; too many groups to try them all together."""
    homes = {group: lots[0] for group, lots in choices.items()}
    for group, lots in choices.items():
        homes[group] = min(lots, key=lambda lot: _quick_score(make_task(problem, {**homes, group: lot})))
    yield tuple(homes.values())


def _quick_score(task: Task) -> tuple:
    placements, missing = first_fit(task)
    return sum(task.area_mm2(type_) * count for type_, count in missing.items()), worth(task, placements)
