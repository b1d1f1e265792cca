"""One question to the planner: the pieces of one reinforcement and the cloth that is free, and the answer as a plan."""

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import cached_property

from jobs.calc.cutting import (
    Blank,
    Offcut,
    PlacedBlank,
    Plan,
    Problem,
    ProblemError,
    Strip,
    Unplaced,
    plan_cuts,
)
from shopstock.calc.units import format_length
from shopstock.models import Reinforcement, Roll, Shop
from shopstock.queries import cutting_over_mm, keeping_rule

from .free_cloth import FreeCloth, kind_of
from .laying import CannotPlan, LaidStrip, lay_on_rolls
from .pieces import LayUp, Piece
from .wishes import Wishes

LEAST_SECONDS = 0.05
WORTH = {"roll": 1.0, "remnant": 0.95, "offcut": 0.85}  # cloth of an opened roll and of an offcut is used up first
DOWNGRADED_WORTH = 0.7  # where it may be used at all, it goes before cloth that is good for any part


@dataclass(frozen=True)
class Short:
    """Pieces for which no cloth was found."""

    name: str
    pieces: int
    across_mm: int
    along_mm: int
    reason: str


@dataclass(frozen=True)
class MaterialPlan:
    """The plan of one reinforcement of a job."""

    reinforcement: Reinforcement
    width_mm: int
    pieces: tuple[Piece, ...]
    strips: tuple[LaidStrip, ...]
    short: tuple[Short, ...]
    cloth: tuple[FreeCloth, ...]
    found: Plan | None = None
    notes: tuple[str, ...] = ()
    asked: Problem | None = None
    ways: dict | None = None  # where pieces have outlines: cut off in m² as rectangles, and nested

    @property
    def pieces_by_id(self) -> dict[str, Piece]:
        return {piece.blank_id: piece for piece in self.pieces}

    @property
    def merit(self) -> tuple[int, int, int, int]:
        """Less is better: plies refused first, then area short, then pieces (each seam is one more), then cloth.

        A roll that is opened counts as so much cloth more.
        """
        refused = sum(item.pieces for item in self.short if not item.along_mm)
        short_mm2 = sum(item.pieces * item.across_mm * item.along_mm for item in self.short)
        pieces = sum(piece.count for piece in self.pieces)
        cloth_mm2 = sum(strip.cut_off_mm2 * worth_of(strip.cloth) for strip in self.strips)
        opened = {s.cloth.roll.pk for s in self.strips if s.cloth.as_stock().kind == "roll"}
        charge_mm2 = self.asked.opening_charge_mm2 * len(opened) if self.asked else 0
        return refused, short_mm2, pieces, round(cloth_mm2) + charge_mm2


@dataclass(frozen=True)
class Question:
    reinforcement: Reinforcement
    lay_up: LayUp
    cloth: tuple[FreeCloth, ...]
    shop: Shop
    width_mm: int
    wishes: Wishes = field(default_factory=Wishes)

    @cached_property
    def widest_mm(self) -> int:
        """What a blank may take of the widest cloth that may be used."""
        allowed = self.wishes.allowed(self.cloth)
        return max((item.usable_width_mm for item in allowed), default=0) - self.shop.cutting_allowance_mm

    @cached_property
    def fitting(self) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.lay_up.pieces if least_across_mm(piece) <= self.widest_mm)

    @property
    def outlined(self) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.fitting if piece.outline)

    @cached_property
    def problem(self) -> Problem | None:
        """None when nothing that is wanted fits any cloth."""
        if not self.fitting:
            return None
        problem = problem_of(self.reinforcement, self.fitting, self.cloth, self.shop)
        over_mm = cutting_over_mm(self.reinforcement, self.shop)
        return self.wishes.applied(problem, self.cloth, self.fitting, over_mm)

    def planned(self, seconds: float) -> MaterialPlan:
        """The plan found in this time, and what is to be said when only a doubtful length leaves pieces short."""
        if self.problem is None:
            return self.answer(None)
        found = ask(self.problem, seconds)
        plan = self.answer(found)
        return replace(plan, notes=plan.notes + self._missing_only_by_doubt(found, seconds)) if found.unplaced else plan

    def answer(self, found: Plan | None) -> MaterialPlan:
        """What the planner found, on the rolls; what is too wide or was refused is short."""
        short = [Short(refusal.name, refusal.pieces, 0, 0, refusal.reason) for refusal in self.lay_up.refusals]
        short += [self._too_wide(piece) for piece in self.lay_up.pieces if piece not in self.fitting]
        strips: tuple[LaidStrip, ...] = ()
        if found is not None:
            marked = self.wishes.marked_rolls()
            strips = lay_on_rolls(found, self.cloth, self.reinforcement, self.shop, marked_rolls=marked)
            short += _unplaced(found, self.fitting)
            found = self.bounded(found) if self.outlined else found
        notes = tuple(note for _, note in self.lay_up.notes)
        return MaterialPlan(
            self.reinforcement,
            self.width_mm,
            self.lay_up.pieces,
            strips,
            tuple(short),
            self.cloth,
            found,
            notes,
            self.problem,
        )

    def bounded(self, found: Plan) -> Plan:
        """Outlines may be nested closer than the rectangles around them: only the area of the pieces is sure."""
        net_mm2 = sum(piece.net_mm2 * piece.count for piece in self.fitting) if not found.unplaced else 0
        bound_mm2 = min(found.bound_mm2, net_mm2)
        gap = found.cloth_mm2 / bound_mm2 - 1 if bound_mm2 and not found.unplaced else None
        return replace(found, bound_mm2=bound_mm2, gap=gap, proved=gap is not None and gap <= 0)

    def _too_wide(self, piece: Piece) -> Short:
        reason = (
            f"{format_length(least_across_mm(piece), 'metric')} wide, and the widest usable cloth gives "
            f"{format_length(max(0, self.widest_mm), 'metric')}"
            if self.wishes.allowed(self.cloth)
            else "nothing usable of this reinforcement is free on the racks"
        )
        return Short(piece.name, piece.count, piece.across_mm, piece.along_mm, reason)

    def _missing_only_by_doubt(self, found: Plan, seconds: float) -> tuple[str, ...]:
        """Says when pieces are short only because rolls are not surely as long as booked."""
        unsure = [item for item in self.cloth if item.booked != item.clean]
        if not unsure:
            return ()
        as_booked = replace(self, cloth=tuple(item.as_booked() for item in self.cloth))
        missing = sum(line.count for line in ask(as_booked.problem, seconds).unplaced)
        fewer = sum(line.count for line in found.unplaced) - missing
        if fewer <= 0:
            return ()
        worst = max(unsure, key=lambda item: item.doubtful_mm)
        doubtful = format_length(worst.doubtful_mm, self.shop.units)
        return (
            f"{fewer} piece{'' if fewer == 1 else 's'} would fit if the rolls are as long as booked, which is not sure "
            f"enough to plan on: the last {doubtful} of {worst.roll.code} are in doubt. Measure it, then plan again.",
        )


def least_across_mm(piece: Piece) -> int:
    return min(piece.across_mm, piece.along_mm) if 90 in piece.turns else piece.across_mm


def _unplaced(plan: Plan, pieces: Sequence[Piece]) -> list[Short]:
    by_id = {piece.blank_id: piece for piece in pieces}
    lines = [(by_id[line.id], line) for line in plan.unplaced]
    return [Short(piece.name, line.count, piece.across_mm, piece.along_mm, line.reason) for piece, line in lines]


def problem_of(kind: Reinforcement, pieces: Sequence[Piece], cloth: Sequence[FreeCloth], shop: Shop) -> Problem:
    """Every blank is asked for as much longer along the roll as this shop's cuts of the form run over."""
    over_mm, rule = cutting_over_mm(kind, shop), keeping_rule(kind, shop)
    stock = tuple(replace(item.as_stock(), cost_per_m2=worth_of(item)) for item in cloth)
    return Problem(
        name=kind.name,
        stock=stock,
        blanks=tuple(
            Blank(piece.blank_id, piece.across_mm, piece.along_mm + over_mm, piece.count, piece.turns)
            for piece in pieces
        ),
        allowance_mm=shop.cutting_allowance_mm,
        smallest_offcut_length_mm=rule.least_length_mm,
        smallest_offcut_width_mm=rule.least_width_mm(min((item.width_mm for item in stock), default=rule.side_mm)),
        opening_charge_mm2=rule.full_width_length_mm * kind.width_mm,
    )


def worth_of(cloth: FreeCloth) -> float:
    """All of it costs the same to buy; what lies opened, cut off or downgraded already counts for less."""
    is_downgraded = cloth.roll.grade == Roll.Grade.NON_STRUCTURAL
    return WORTH[kind_of(cloth.roll)] * (DOWNGRADED_WORTH if is_downgraded else 1)


def problem_as_json(problem: Problem) -> dict:
    """The problem as a file of it would hold it, to be read with Problem.from_json."""
    data = asdict(problem)
    data["pins"] = [{"blank": blank, "stock": stock} for blank, stock in problem.pins]
    return data


def plan_from_json(data: dict) -> Plan:
    """A plan as it was kept with a run."""
    strips = tuple(
        Strip(row["stock"], row["from_mm"], row["length_mm"], tuple(PlacedBlank(**blank) for blank in row["blanks"]))
        for row in data["strips"]
    )
    lists = {
        "offcuts": tuple(Offcut(**row) for row in data["offcuts"]),
        "dead_ends": tuple(Offcut(**row) for row in data["dead_ends"]),
        "unplaced": tuple(Unplaced(**row) for row in data["unplaced"]),
    }
    return Plan(**{**data, **lists, "strips": strips})


def ask(
    problem: Problem,
    seconds: float,
    *,
    seed: int = 0,
    workers: int = 1,
    work_limit: int | None = None,
    on_better: Callable[[Plan], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    try:
        return plan_cuts(
            problem,
            seconds=max(LEAST_SECONDS, seconds),
            seed=seed,
            workers=workers,
            work_limit=work_limit,
            on_better=on_better,
            should_stop=should_stop,
        )
    except ProblemError as error:
        raise CannotPlan(
            f"{problem.name} cannot be planned in one go: {error.message}. Split the job in two and plan each."
        ) from error
