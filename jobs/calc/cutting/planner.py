"""The planner: a correct plan at once, better ones as time goes, and a bound that says how much better is possible."""

from collections.abc import Callable

from jobs.calc.cutting.beside import tucked
from jobs.calc.cutting.clock import Clock
from jobs.calc.cutting.first_fit import Placement, first_fit
from jobs.calc.cutting.homes import settled_task
from jobs.calc.cutting.layout import lay_out, without_extras
from jobs.calc.cutting.levels import Task
from jobs.calc.cutting.partner import start_partner
from jobs.calc.cutting.plan import Plan
from jobs.calc.cutting.problem import Problem, ProblemError
from jobs.calc.cutting.reading import check_problem
from jobs.calc.cutting.shortage import unplaced_blanks
from jobs.calc.cutting.worth import settled

USUAL_SECONDS, LEAST_SECONDS, MOST_SECONDS = 5.0, 0.05, 3_600
MOST_WORK = 10_000_000
BOUND_SHARE = 0.2
BOUND_ROUNDS = 300
TIDY_SHARE = 1.1


def plan_cuts(
    problem: Problem,
    *,
    seconds: float | None = None,
    seed: int = 0,
    workers: int = 1,
    work_limit: int | None = None,
    on_better: Callable[[Plan], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    """Plan the cuts of one reinforcement.

    seconds is the time to search (5 where nothing limits it); work_limit is a number of rounds, after which the same
    problem and seed give the same plan on any machine; of the two the first that comes stops the search.
    workers is 1 or 2 processes. on_better is called with every better plan, the first one at once; should_stop is asked
    between rounds. Raises ProblemError for a problem that cannot be planned.
    """
    if seconds is None and work_limit is None:
        seconds = USUAL_SECONDS
    _check_limits(seconds, workers, work_limit)
    check_problem(problem)
    clock = Clock(seconds, work_limit, should_stop)
    task = settled_task(problem)
    report = _Report(task, clock, on_better)
    start, _ = first_fit(task, stacking=problem.stages > 2)
    report.show(start)
    if task.demand and task.stretches:
        _search(task, clock, report, start, seed, workers)
    return report.plan


def _check_limits(seconds: float | None, workers: int, work_limit: int | None) -> None:
    if seconds is not None and not LEAST_SECONDS <= seconds <= MOST_SECONDS:
        raise ProblemError("seconds", f"{seconds} is not from {LEAST_SECONDS} to {MOST_SECONDS}")
    if workers not in (1, 2):
        raise ProblemError("workers", f"{workers} is not 1 or 2")
    if work_limit is not None and not 1 <= work_limit <= MOST_WORK:
        raise ProblemError("work_limit", f"{work_limit} is not from 1 to {MOST_WORK}")


def _search(task: Task, clock: Clock, report: "_Report", start: list[Placement], seed: int, workers: int) -> None:
    from jobs.calc.cutting.bound import cloth_bound_mm2  # these bring the solver in; the first plan is out by now
    from jobs.calc.cutting.drive import drive
    from jobs.calc.cutting.search import Search
    from jobs.calc.cutting.staged_bound import staged_bound_mm2

    partner = start_partner(task, start, seed + 1_000_003, clock) if workers == 2 else None
    try:
        search = Search(task, start, seed, clock.over)
        search.begin()
        report.show(search.best)
        limit = clock.seconds_left if clock.work_limit is not None else clock.seconds * BOUND_SHARE
        report.bound_mm2 = cloth_bound_mm2(task.problem, seconds=limit, rounds=BOUND_ROUNDS)
        report.staged_bound_mm2 = staged_bound_mm2(task.problem, seconds=limit, rounds=BOUND_ROUNDS)
        if not report.show(search.best, again=True):
            drive(search, clock, lambda: report.show(search.best), partner and partner.link)
        laid = tucked(task, without_extras(task, search.best), lambda: clock.late(TIDY_SHARE))
        report.show(settled(task, laid), again=True)
    finally:
        if partner:
            partner.close()


class _Report:
    """The plan to hand out: shown again whenever it, or the bound beside it, gets better."""

    def __init__(self, task: Task, clock: Clock, on_better: Callable[[Plan], None] | None):
        self.task, self.clock, self.on_better = task, clock, on_better
        self.bound_mm2 = sum(strip.length_mm * self._width_mm(strip) for strip in task.problem.locked_strips)
        self.bound_mm2 += sum(task.area_mm2(t) * task.demand[t] for t in task.types if any(task.allowed[t]))
        self.staged_bound_mm2: int | None = None
        self.plan: Plan | None = None

    def _width_mm(self, strip) -> int:
        return self.task.problem.stock_by_id[strip.stock].usable_width_mm

    def show(self, placements: list[Placement], again: bool = False) -> bool:
        """Make the plan of these levels; returns whether it is proved that no plan (within the stages) uses less."""
        plan = self._plan(without_extras(self.task, placements))
        if self.plan is None or again or self._rank(plan) < self._rank(self.plan):
            self.plan = plan
            if self.on_better:
                self.on_better(plan)
        least = self.plan.staged_bound_mm2
        if self.task.problem.opening_charge_mm2 and self._opened(self.plan) > 1:
            return False  # as much cloth from fewer rolls would be better
        return self.plan.proved or (self.plan.complete and least is not None and self.plan.cloth_mm2 <= least)

    def _rank(self, plan: Plan) -> tuple:
        cost_mm2 = plan.cloth_mm2 + self._opened(plan) * self.task.problem.opening_charge_mm2
        return sum(line.count for line in plan.unplaced), cost_mm2, sum(end.area_mm2 for end in plan.dead_ends)

    def _opened(self, plan: Plan) -> int:
        stock = self.task.problem.stock_by_id
        return len({strip.stock for strip in plan.strips if stock[strip.stock].kind == "roll"})

    def _plan(self, placements: list[Placement]) -> Plan:
        task = self.task
        strips, offcuts, dead_ends = lay_out(task, placements)
        cloth = sum(strip.length_mm * self._width_mm(strip) for strip in strips)
        missing = list(task.demand)
        for level, _ in placements:
            for type_, count in level.counts:
                missing[type_] -= count
        unplaced = unplaced_blanks(task, {type_: count for type_, count in enumerate(missing) if count > 0})
        return Plan(
            name=task.problem.name,
            status="short" if unplaced else "complete",
            strips=tuple(strips),
            offcuts=tuple(offcuts),
            dead_ends=tuple(dead_ends),
            cloth_mm2=cloth,
            bound_mm2=self.bound_mm2,
            gap=None if unplaced or not self.bound_mm2 else cloth / self.bound_mm2 - 1,
            proved=not unplaced and cloth <= self.bound_mm2,
            seconds=self.clock.elapsed,
            unplaced=unplaced,
            staged_bound_mm2=self.staged_bound_mm2,
        )
