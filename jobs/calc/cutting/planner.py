"""The planner: a correct plan at once, better ones as time goes, and a bound that says how much better is possible."""

import time
from collections.abc import Callable

from jobs.calc.cutting.first_fit import Placement, first_fit
from jobs.calc.cutting.layout import lay_out, without_extras
from jobs.calc.cutting.levels import Task, make_task
from jobs.calc.cutting.plan import Plan
from jobs.calc.cutting.problem import Problem, ProblemError
from jobs.calc.cutting.reading import check_problem
from jobs.calc.cutting.shortage import unplaced_blanks

LEAST_SECONDS, MOST_SECONDS = 0.05, 3_600


def plan_cuts(
    problem: Problem,
    *,
    seconds: float = 5.0,
    seed: int = 0,
    workers: int = 1,
    work_limit: int | None = None,
    on_better: Callable[[Plan], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    """Plan the cuts of one reinforcement within a time budget in seconds; raises ProblemError."""
    if not LEAST_SECONDS <= seconds <= MOST_SECONDS:
        raise ProblemError("seconds", f"{seconds} is not from {LEAST_SECONDS} to {MOST_SECONDS}")
    check_problem(problem)
    started = time.monotonic()
    task = make_task(problem)
    placements, missing = first_fit(task, stacking=problem.stages > 2)
    plan = _plan(task, placements, missing, time.monotonic() - started)
    if on_better:
        on_better(plan)
    return plan


def _plan(task: Task, placements: list[Placement], missing: dict[int, int], seconds: float) -> Plan:
    problem = task.problem
    strips, offcuts, dead_ends = lay_out(task, without_extras(task, placements))
    cloth = sum(strip.length_mm * problem.stock_by_id[strip.stock].usable_width_mm for strip in strips)
    locked = sum(s.length_mm * problem.stock_by_id[s.stock].usable_width_mm for s in problem.locked_strips)
    bound = locked + sum(task.area_mm2(type_) * task.demand[type_] for type_ in task.types)
    unplaced = unplaced_blanks(task, {type_: count for type_, count in missing.items() if count})
    return Plan(
        name=problem.name,
        status="short" if unplaced else "complete",
        strips=tuple(strips),
        offcuts=tuple(offcuts),
        dead_ends=tuple(dead_ends),
        cloth_mm2=cloth,
        bound_mm2=bound,
        gap=None if unplaced or not bound else cloth / bound - 1,
        proved=not unplaced and cloth <= bound,
        seconds=seconds,
        unplaced=unplaced,
    )
