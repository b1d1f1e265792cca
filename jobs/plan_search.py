"""Search on for a plan that is on offer: each better plan takes the place of the one before, at once."""

import datetime
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.calc.cutting import Plan, Problem
from shopstock.models import Shop

from .job_cloth import cloth_for
from .models import CuttingPlan, PlannedStrip, PlanRun
from .nested import better_way
from .plan_making import jobs_of_plan, own_promises, problems_asked, wanted_of
from .plan_rows import write_material
from .plan_runs import RunGone, note_better, queue_run
from .planning import LEAST_SECONDS, MaterialPlan, Question, ask
from .plans import lock_job
from .queries import lots_begun, lots_in
from .question import plan_from_json
from .together import better, one_by_one, told_alone
from .wishes import Wishes

LEAST_PAUSE = 0.5  # seconds between two plans that are written, so that the racks are not locked all the time
LEAST_NEST_SECONDS = 3
NEST_SHARE = 0.5  # of the time for a reinforcement that has pieces with outlines
ALONE_SHARE = 0.4  # of the time goes into planning the jobs one by one


class RacksChanged(Exception):
    """A roll that a better plan would use is not as it was asked about; the plan on offer stays as it is."""


def questions_of(plan: CuttingPlan) -> dict[int, Question]:
    """What is asked of each reinforcement of a plan, on the racks as they are now."""
    jobs = jobs_of_plan(plan)
    wanted, shop, wishes = wanted_of(jobs), Shop.current(), Wishes.from_json(plan.wishes)
    widths = {row["reinforcement"]: row["cut_width_mm"] for row in plan.materials}
    kinds = {pk: kind for pk, kind in wanted.kinds.items() if pk in widths}
    back, lots = own_promises(jobs), lots_in(plan) | lots_begun(jobs)
    cloth = cloth_for(jobs, list(kinds), shop, at=plan.made_at, as_if_given_back=back, lots=lots)
    whole = wanted.lay_up(widths)
    return {pk: Question(kind, whole.of(pk), tuple(cloth[pk]), shop, widths[pk], wishes) for pk, kind in kinds.items()}


def search_on(plan: CuttingPlan, *, by: AbstractBaseUser, at: datetime.datetime, seconds: int) -> PlanRun:
    """Queue a further search for a plan on offer; raises CannotPlan where what was settled by hand no longer holds."""
    asked = [question.answer(None) for question in questions_of(plan).values()]
    return queue_run(plan, problems=problems_asked(asked), by=by, at=at, seconds=seconds)


@dataclass
class PlanSearch:
    """One run at work; `now` reads the clock of whoever runs it, `should_stop` says that it is good enough."""

    run: PlanRun
    now: Callable[[], datetime.datetime]
    should_stop: Callable[[], bool] = lambda: False
    workers: int = 1
    started: float = field(default_factory=time.monotonic)

    @property
    def spent(self) -> float:
        return time.monotonic() - self.started

    @property
    def is_over(self) -> bool:
        return self.should_stop() or self.spent >= self.run.seconds

    def search(self) -> None:
        """Every reinforcement in turn, then several jobs one by one; raises RunGone, RacksChanged and CannotPlan."""
        shared = self.run.plan.also.exists() and not self.run.plan.wishes
        end = self.run.seconds * (1 - ALONE_SHARE if shared else 1)
        problems = self.run.problems
        for number, row in enumerate(problems):
            left = (end - self.spent) / (len(problems) - number)
            if self.should_stop() or left <= 0:
                break
            self._search_one(row["reinforcement"], Problem.from_json(row["problem"]), left)
        if shared and not self.is_over:
            self._one_by_one(self.run.seconds - self.spent)

    def _search_one(self, kind: int, problem: Problem, seconds: float) -> None:
        question = questions_of(self.run.plan).get(kind)
        nests = question is not None and bool(question.outlined) and not self.run.plan.wishes
        nest_seconds = max(LEAST_NEST_SECONDS, round(seconds * NEST_SHARE)) if nests else 0
        seconds = max(LEAST_SECONDS, seconds - nest_seconds)
        end, waiting = self.spent + seconds, _Latest()

        def found(plan: Plan) -> None:
            waiting.plan = plan
            if self.spent - waiting.written_at >= LEAST_PAUSE:
                waiting.written_at = self.spent
                self._better(kind, problem, plan)

        ask(
            problem,
            seconds,
            seed=self.run.seed,
            workers=self.workers,
            work_limit=self.run.work_limit,
            on_better=found,
            should_stop=lambda: self.should_stop() or self.spent >= end,
        )
        if waiting.plan is not None:
            self._better(kind, problem, waiting.plan)
            if nests and not self.should_stop():
                self._nest(question, problem, waiting.plan, nest_seconds)

    def _nest(self, question: Question, problem: Problem, found: Plan, seconds: int) -> None:
        """Outlines are nested too; the plan keeps the better of both ways and says what each takes."""
        kind, as_rectangles = question.reinforcement.pk, question.answer(found)
        chosen = better_way(question, as_rectangles, seconds)
        if chosen.ways is None:
            return
        _require_same_rolls(question, problem, {strip.cloth.roll.code for strip in chosen.strips})
        improved = _put(self.run.plan, chosen)
        note_ways(self.run.plan, kind, chosen.ways)
        self._note(improved)

    def _better(self, kind: int, problem: Problem, found: Plan) -> None:
        self.run.best[str(kind)] = found.to_json()
        improved = better_plan(self.run.plan, kind, problem, found)
        self._note(improved)

    def _one_by_one(self, seconds: float) -> None:
        plan = self.run.plan
        questions = questions_of(plan)
        wanted = wanted_of(jobs_of_plan(plan))
        widths = {pk: question.width_mm for pk, question in questions.items()}
        cloth = {pk: question.cloth for pk, question in questions.items()}
        alone = one_by_one(wanted, widths, cloth, Shop.current(), seconds / max(1, len(questions)))
        improved = False
        for material in alone:
            kind = material.reinforcement.pk
            if found := self.run.best.get(str(kind)):
                improved |= _offer_alone(plan, questions[kind], material, found)
        CuttingPlan.objects.filter(pk=plan.pk).update(alone=told_alone(alone, seconds))
        self._note(improved)

    def _note(self, improved: bool) -> None:
        plan = CuttingPlan.objects.get(pk=self.run.plan_id)
        cloth_mm2, bound_mm2 = search_totals(plan)
        note_better(
            self.run,
            at=self.now(),
            better=improved,
            best=self.run.best,
            cloth_mm2=cloth_mm2,
            bound_mm2=bound_mm2,
            spent_ms=round(1000 * self.spent),
        )


@dataclass
class _Latest:
    plan: Plan | None = None
    written_at: float = -LEAST_PAUSE


def search_totals(plan: CuttingPlan) -> tuple[int, int]:
    """Usable cloth of the whole plan and the least that any plan must use, in mm²."""
    rows = [row.get("search", {}) for row in plan.materials]
    return sum(row.get("cloth_mm2", 0) for row in rows), sum(row.get("bound_mm2", 0) for row in rows)


def better_plan(plan: CuttingPlan, kind: int, problem: Problem, found: Plan) -> bool:
    """Put what the planner found in place of what the plan has; returns whether it is better."""
    questions = questions_of(plan)
    if kind not in questions:
        raise RacksChanged("The lay-up is not what was asked about: plan again.")
    question = questions[kind]
    _require_same_rolls(question, problem, {strip.stock for strip in found.strips})
    return _put(plan, question.answer(found))


def _offer_alone(plan: CuttingPlan, question: Question, alone: MaterialPlan, found: dict) -> bool:
    together = question.answer(plan_from_json(found))
    chosen = better(together, alone)
    return chosen is not together and _put(plan, chosen)


def _require_same_rolls(question: Question, problem: Problem, used: set[str]) -> None:
    now = question.problem.stock_by_id if question.problem else {}
    for code in used:
        if now.get(code) != problem.stock_by_id[code]:
            raise RacksChanged(f"Roll {code} has changed since this was asked: plan again.")


@transaction.atomic
def _put(plan: CuttingPlan, material: MaterialPlan) -> bool:
    lock_job(plan.job)
    plan = CuttingPlan.objects.get(pk=plan.pk)
    if plan.state != CuttingPlan.State.OFFERED:
        raise RunGone
    row = next(row for row in plan.materials if row["reinforcement"] == material.reinforcement.pk)
    before, now = row.get("merit"), list(material.merit)
    if before is not None and now > before:
        return False
    if _strips_of(material) != _strips_in(plan, material.reinforcement.pk):
        plan.revision += 1
    if material.short:
        material = _with_notes(material, row["notes"])
    write_material(plan, material)
    plan.save(update_fields=["materials", "stock_seen", "revision"])
    return before is None or now < before


@transaction.atomic
def note_ways(plan: CuttingPlan, kind: int, ways: dict) -> None:
    lock_job(plan.job)
    plan = CuttingPlan.objects.get(pk=plan.pk)
    for row in plan.materials:
        if row["reinforcement"] == kind:
            row["ways"] = ways
    plan.save(update_fields=["materials"])


def _with_notes(material: MaterialPlan, notes: Sequence[str]) -> MaterialPlan:
    """What was said of doubtful lengths when the plan was first made stays while pieces are short."""
    return replace(material, notes=tuple(notes))


def _strips_of(material: MaterialPlan) -> list[tuple]:
    names = {key: piece.name for key, piece in material.pieces_by_id.items()}
    return sorted(
        (s.cloth.roll.pk, s.number, s.from_mm, s.length_mm, sorted((names[b.id], b.x_mm, b.y_mm) for b in s.blanks))
        for s in material.strips
    )


def _strips_in(plan: CuttingPlan, kind: int) -> list[tuple]:
    strips = PlannedStrip.objects.filter(plan=plan, roll__reinforcement=kind).prefetch_related("blanks")
    return sorted(
        (s.roll_id, s.number, s.from_mm, s.length_mm, sorted((b.name, b.x_mm, b.y_mm) for b in s.blanks.all()))
        for s in strips
    )
