"""Ask the planner: one problem per reinforcement, and what it found put back onto the rolls as they lie."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from jobs.calc.cutting import Blank, Offcut, PlacedBlank, Plan, Problem, ProblemError, Strip, plan_cuts
from shopstock.calc.units import format_length
from shopstock.models import Reinforcement, Shop
from shopstock.queries import cutting_over_mm, keeping_rule

from .free_cloth import FreeCloth
from .pieces import LayUp, Piece, lay_up_of, usable_width_mm, without

ALL_SECONDS = 1.2  # for every reinforcement of a job together, so that the page answers at once
LEAST_SECONDS = 0.05
MOST_WIDTHS = 3


class CannotPlan(Exception):
    """There is no plan to make; the message says what to do."""


@dataclass(frozen=True)
class Short:
    """Pieces for which no cloth was found."""

    name: str
    pieces: int
    across_mm: int
    along_mm: int
    reason: str


@dataclass(frozen=True)
class LaidStrip:
    """A strip where it lies on its roll; blanks and offcuts count from the strip's start and the roll's left edge."""

    cloth: FreeCloth
    number: int
    from_mm: int
    length_mm: int
    blanks: tuple[PlacedBlank, ...]
    offcuts: tuple[tuple[int, int], ...] = ()  # (width_mm, length_mm)
    ends_mm: tuple[int, ...] = ()  # clean lengths cut away to reach it

    @property
    def area_mm2(self) -> int:
        return self.length_mm * self.cloth.roll.width_mm

    @property
    def cut_off_mm2(self) -> int:
        return (self.length_mm + sum(self.ends_mm)) * self.cloth.roll.width_mm


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

    @property
    def pieces_by_id(self) -> dict[str, Piece]:
        return {blank_id(piece): piece for piece in self.pieces}

    @property
    def merit(self) -> tuple[int, int, int, int]:
        """Less is better: plies refused first, then area short, then pieces (each seam is one more), then cloth."""
        refused = sum(item.pieces for item in self.short if not item.along_mm)
        short_mm2 = sum(item.pieces * item.across_mm * item.along_mm for item in self.short)
        pieces = sum(piece.count for piece in self.pieces)
        return refused, short_mm2, pieces, sum(strip.cut_off_mm2 for strip in self.strips)


def blank_id(piece: Piece) -> str:
    return f"{piece.ply_id}:{piece.name}"


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
    job,
    cloth: dict[int, list[FreeCloth]],
    shop: Shop,
    *,
    done: Counter | None = None,
    kept_widths_mm: dict[int, int] | None = None,
    seconds: float = ALL_SECONDS,
) -> list[MaterialPlan]:
    """Plan every reinforcement of one job; `done` pieces are left out, `kept_widths_mm` stay as they were cut."""
    kinds, done = reinforcements_of([job]), done or Counter()
    tries = {pk: widths_to_try(kind, cloth[pk], shop) for pk, kind in kinds.items()}
    tries |= {pk: [width] for pk, width in (kept_widths_mm or {}).items() if pk in kinds}
    widths = {pk: options[0] for pk, options in tries.items()}
    share = max(LEAST_SECONDS, seconds / max(1, sum(len(options) for options in tries.values())))

    def plan_at(pk: int, width_mm: int) -> MaterialPlan:
        lay_up = lay_up_of(job, widths | {pk: width_mm}).of(pk)
        lay_up = replace(lay_up, pieces=without(lay_up.pieces, done))
        return plan_material(kinds[pk], lay_up, cloth[pk], shop, width_mm=width_mm, seconds=share)

    chosen: dict[int, MaterialPlan] = {}
    for pk, options in tries.items():
        chosen[pk] = min(_different(plan_at, job, pk, options, widths), key=lambda plan: plan.merit)
        widths[pk] = chosen[pk].width_mm
    whole = lay_up_of(job, widths)
    for pk, plan in chosen.items():
        if plan.pieces != without(whole.of(pk).pieces, done):  # a neighbour's seams moved when its width was chosen
            chosen[pk] = plan_at(pk, widths[pk])
    return list(chosen.values())


def _different(plan_at, job, pk: int, options: list[int], widths: dict[int, int]) -> list[MaterialPlan]:
    """A plan for each width that gives other pieces than the widths before it."""
    seen, plans = set(), []
    for width_mm in options:
        pieces = lay_up_of(job, widths | {pk: width_mm}).of(pk).pieces
        if pieces not in seen:
            seen.add(pieces)
            plans.append(plan_at(pk, width_mm))
    return plans


def plan_material(
    reinforcement: Reinforcement,
    lay_up: LayUp,
    cloth: Sequence[FreeCloth],
    shop: Shop,
    *,
    width_mm: int,
    seconds: float,
) -> MaterialPlan:
    """One problem to the planner; what is too wide or has no stock at all is short before it is asked."""
    pieces = lay_up.pieces
    widest_mm = max((item.usable_width_mm for item in cloth), default=0) - shop.cutting_allowance_mm
    fitting = tuple(piece for piece in pieces if least_across_mm(piece) <= widest_mm)
    short = [Short(refusal.name, refusal.pieces, 0, 0, refusal.reason) for refusal in lay_up.refusals]
    short += [_too_wide(piece, cloth, widest_mm) for piece in pieces if piece not in fitting]
    plan, strips = None, ()
    if fitting:
        plan = ask(problem_of(reinforcement, fitting, cloth, shop), seconds)
        strips = lay_on_rolls(plan, cloth, reinforcement, shop)
        short += _unplaced(plan, fitting)
    notes = [note for _, note in lay_up.notes]
    if plan is not None and plan.unplaced:
        notes += _missing_only_by_doubt(plan, reinforcement, fitting, cloth, shop, seconds)
    return MaterialPlan(reinforcement, width_mm, pieces, strips, tuple(short), tuple(cloth), plan, tuple(notes))


def _missing_only_by_doubt(
    plan: Plan,
    kind: Reinforcement,
    pieces: Sequence[Piece],
    cloth: Sequence[FreeCloth],
    shop: Shop,
    seconds: float,
) -> list[str]:
    """Says when pieces are short only because rolls are not surely as long as booked."""
    unsure = [item for item in cloth if item.booked != item.clean]
    if not unsure:
        return []
    as_booked = ask(problem_of(kind, pieces, [item.as_booked() for item in cloth], shop), seconds)
    fewer = sum(line.count for line in plan.unplaced) - sum(line.count for line in as_booked.unplaced)
    if fewer <= 0:
        return []
    worst = max(unsure, key=lambda item: item.doubtful_mm)
    doubtful = format_length(worst.doubtful_mm, shop.units)
    return [
        f"{fewer} piece{'' if fewer == 1 else 's'} would fit if the rolls are as long as booked, which is not sure "
        f"enough to plan on: the last {doubtful} of {worst.roll.code} are in doubt. Measure it, then plan again."
    ]


def least_across_mm(piece: Piece) -> int:
    return min(piece.across_mm, piece.along_mm) if 90 in piece.turns else piece.across_mm


def _too_wide(piece: Piece, cloth: Sequence[FreeCloth], widest_mm: int) -> Short:
    reason = (
        f"{format_length(least_across_mm(piece), 'metric')} wide, and the widest usable cloth gives "
        f"{format_length(max(0, widest_mm), 'metric')}"
        if cloth
        else "nothing usable of this reinforcement is free on the racks"
    )
    return Short(piece.name, piece.count, piece.across_mm, piece.along_mm, reason)


def _unplaced(plan: Plan, pieces: Sequence[Piece]) -> list[Short]:
    by_id = {blank_id(piece): piece for piece in pieces}
    lines = [(by_id[line.id], line) for line in plan.unplaced]
    return [Short(piece.name, line.count, piece.across_mm, piece.along_mm, line.reason) for piece, line in lines]


def problem_of(
    kind: Reinforcement, pieces: Sequence[Piece], cloth: Sequence[FreeCloth], shop: Shop, *, extra=()
) -> Problem:
    """Every blank is asked for as much longer along the roll as this shop's cuts of the form run over."""
    over_mm, rule = cutting_over_mm(kind, shop), keeping_rule(kind, shop)
    stock = (*(item.as_stock() for item in cloth), *extra)
    return Problem(
        name=kind.name,
        stock=stock,
        blanks=tuple(
            Blank(blank_id(piece), piece.across_mm, piece.along_mm + over_mm, piece.count, piece.turns)
            for piece in pieces
        ),
        allowance_mm=shop.cutting_allowance_mm,
        smallest_offcut_length_mm=rule.least_length_mm,
        smallest_offcut_width_mm=rule.least_width_mm(min((item.width_mm for item in stock), default=rule.side_mm)),
    )


def ask(problem: Problem, seconds: float) -> Plan:
    try:
        return plan_cuts(problem, seconds=max(LEAST_SECONDS, seconds))
    except ProblemError as error:
        raise CannotPlan(
            f"{problem.name} cannot be planned in one go: {error.message}. Split the job in two and plan each."
        ) from error


def lay_on_rolls(plan: Plan, cloth: Sequence[FreeCloth], kind: Reinforcement, shop: Shop) -> tuple[LaidStrip, ...]:
    """Strips in cutting order where they really come to lie, and of what is left over the pieces worth keeping."""
    strips, rule, over_mm = [], keeping_rule(kind, shop), cutting_over_mm(kind, shop)
    for item in cloth:
        mine = sorted((s for s in plan.strips if s.stock == item.roll.code), key=lambda strip: strip.from_mm)
        starts = item.place([strip.length_mm for strip in mine])
        reached_mm = item.start_mm
        for number, (strip, start_mm) in enumerate(zip(mine, starts, strict=True), start=1):
            ends = _clean_between(item, reached_mm, start_mm)
            roll_width_mm = item.roll.width_mm
            left = [*_offcuts_in(strip, plan.offcuts), *((roll_width_mm, length) for length in ends)]
            offcuts = [(width, length) for width, length in left if rule.keeps(width, length, roll_width_mm)]
            strips.append(_laid(item, number, start_mm, _as_wanted(strip, over_mm), offcuts, ends))
            reached_mm = start_mm + strip.length_mm
    return tuple(strips)


def _as_wanted(strip: Strip, over_mm: int) -> Strip:
    """The blanks at their own size again; what cuts run over stays in the length of the strip."""

    def own_size(blank: PlacedBlank) -> PlacedBlank:
        if blank.turned:
            return replace(blank, across_mm=blank.across_mm - over_mm)
        return replace(blank, along_mm=blank.along_mm - over_mm)

    return replace(strip, blanks=tuple(own_size(blank) for blank in strip.blanks)) if over_mm else strip


def _clean_between(item: FreeCloth, low_mm: int, high_mm: int) -> list[int]:
    """Lengths of the clean ends that are cut away to reach a strip."""
    spans = [(max(low, low_mm), min(high, high_mm)) for low, high in item.clean]
    return [high - low for low, high in spans if low < high]


def _offcuts_in(strip: Strip, offcuts: Sequence[Offcut]) -> list[tuple[int, int]]:
    return [
        (piece.width_mm, piece.length_mm)
        for piece in offcuts
        if piece.stock == strip.stock
        and strip.from_mm <= piece.from_mm
        and piece.from_mm + piece.length_mm <= strip.to_mm
    ]


def _laid(
    item: FreeCloth, number: int, from_mm: int, strip: Strip, offcuts: list[tuple[int, int]], ends_mm: list[int]
) -> LaidStrip:
    blanks = tuple(replace(blank, x_mm=blank.x_mm + item.trim_mm) for blank in strip.blanks)
    return LaidStrip(item, number, from_mm, strip.length_mm, blanks, tuple(offcuts), tuple(ends_mm))
