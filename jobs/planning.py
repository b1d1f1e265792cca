"""Plan whole lay-ups: every reinforcement of one job or of several, and the width of roll their panels are made for."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from shopstock.models import Reinforcement, Shop

from .free_cloth import FreeCloth
from .laying import CannotPlan, LaidStrip
from .models import Job
from .nested import better_way
from .pieces import LayUp, lay_up_of, usable_width_mm, without
from .question import LEAST_SECONDS, MaterialPlan, Question, Short, ask, least_across_mm
from .wishes import Wishes

__all__ = [
    "LEAST_SECONDS",
    "CannotPlan",
    "LaidStrip",
    "MaterialPlan",
    "Question",
    "Short",
    "JobsToPlan",
    "ask",
    "least_across_mm",
    "plan_lay_up",
    "plan_material",
    "reinforcements_of",
    "widths_to_try",
]

ALL_SECONDS = 1.2  # for every reinforcement of a job together, so that the page answers at once
MOST_WIDTHS = 3


@dataclass(frozen=True)
class JobsToPlan:
    """Jobs to plan together, what of them is cut already, and the widths that begun panels were made for."""

    jobs: tuple[Job, ...]
    done: Counter = field(default_factory=Counter)
    kept_widths_mm: Mapping[int, Mapping[int, int]] = field(default_factory=dict)  # by job, then by reinforcement
    several: bool = False  # one of several jobs, whose pieces are named by their job too

    @property
    def kinds(self) -> dict[int, Reinforcement]:
        return reinforcements_of(self.jobs)

    def fixed_width_mm(self, kind: int) -> int | None:
        """The width of the panels of a reinforcement where every job has it from its earlier cuts."""
        mine = [self.kept_widths_mm.get(job.pk, {}).get(kind) for job in self.jobs if kind in reinforcements_of([job])]
        return mine[0] if all(mine) else None

    def lay_up(self, widths_mm: Mapping[int, int]) -> LayUp:
        """What is left to cut, seams and panels for rolls of these usable widths."""
        whole = LayUp()
        for job in self.jobs:
            mine = lay_up_of(job, {**widths_mm, **self.kept_widths_mm.get(job.pk, {})})
            whole += mine.named(f"{job}: ") if self.several else mine
        return replace(whole, pieces=without(whole.pieces, self.done))


def reinforcements_of(jobs) -> dict[int, Reinforcement]:
    """Every reinforcement in the plies of jobs whose lay-ups are loaded, in the order of the lay-up."""
    plies = (ply for job in jobs for part in job.parts.all() for ply in part.plies.all())
    return {ply.reinforcement_id: ply.reinforcement for ply in plies}


def widths_to_try(reinforcement: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop) -> list[int]:
    """Usable widths for the panels, widest first: those of the rolls on the racks, or of the catalogue when none is."""
    rolls = [usable_width_mm(item.roll.width_mm, shop) for item in cloth if item.as_stock().kind != "offcut"]
    widths = sorted({width for width in rolls if width > 0}, reverse=True)
    if not widths:
        return [max(1, usable_width_mm(reinforcement.width_mm, shop))]
    return widths if len(widths) <= MOST_WIDTHS else [widths[0], widths[len(widths) // 2], widths[-1]]


def plan_lay_up(
    wanted: JobsToPlan,
    cloth: Mapping[int, Sequence[FreeCloth]],
    shop: Shop,
    *,
    wishes: Wishes | None = None,
    seconds: float = ALL_SECONDS,
    nest_seconds: int = 0,
) -> list[MaterialPlan]:
    """Plan every reinforcement; of the widths on the racks each gets the one whose panels come out best.

    With nest_seconds, pieces with an outline are nested too, and the better of both ways is kept.
    """
    kinds, wishes = wanted.kinds, wishes or Wishes()
    tries = {pk: _widths(wanted, kind, wishes.allowed(cloth[pk]), shop) for pk, kind in kinds.items()}
    widths = {pk: options[0] for pk, options in tries.items()}
    share = max(LEAST_SECONDS, seconds / max(1, sum(len(options) for options in tries.values())))

    def question(pk: int, width_mm: int) -> Question:
        lay_up = wanted.lay_up(widths | {pk: width_mm}).of(pk)
        return Question(kinds[pk], lay_up, tuple(cloth[pk]), shop, width_mm, wishes)

    chosen: dict[int, MaterialPlan] = {}
    for pk, options in tries.items():
        plans = [asked.planned(share) for asked in _different(question(pk, width) for width in options)]
        chosen[pk] = min(plans, key=lambda plan: plan.merit)
        widths[pk] = chosen[pk].width_mm
    for pk, plan in chosen.items():
        again = question(pk, widths[pk])
        if plan.pieces != again.lay_up.pieces:  # a neighbour's seams moved when its width was chosen
            chosen[pk] = again.planned(share)
        if nest_seconds:
            chosen[pk] = better_way(again, chosen[pk], nest_seconds)
    return list(chosen.values())


def _widths(wanted: JobsToPlan, kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop) -> list[int]:
    fixed_mm = wanted.fixed_width_mm(kind.pk)
    return [fixed_mm] if fixed_mm else widths_to_try(kind, cloth, shop)


def _different(questions) -> list[Question]:
    """Those that ask for other pieces than the ones before them."""
    kept: list[Question] = []
    for question in questions:
        if question.lay_up.pieces not in [other.lay_up.pieces for other in kept]:
            kept.append(question)
    return kept


def plan_material(
    reinforcement: Reinforcement,
    lay_up: LayUp,
    cloth: Sequence[FreeCloth],
    shop: Shop,
    *,
    width_mm: int,
    seconds: float,
) -> MaterialPlan:
    """One question to the planner; what is too wide or has no stock at all is short before it is asked."""
    return Question(reinforcement, lay_up, tuple(cloth), shop, width_mm).planned(seconds)


def blank_id(piece) -> str:
    return piece.blank_id
