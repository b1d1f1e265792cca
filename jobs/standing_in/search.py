"""What on the racks could stand in: every stack of up to three plies, and whether the cloth is there."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.stand_in import CLASS_C, Comparison, compare
from jobs.calc.stand_in_search import Gap, combinations_tried, rough_ratios, stand_ins
from jobs.cloth_taken import ClothTaken
from jobs.laid_plies import laid_as, materials_for, resin_kind
from jobs.lay_up_sheet import REFUSALS
from jobs.lay_up_text import LaidFabric, in_words, written
from jobs.models import Ply
from jobs.rack_fabrics import directions_to_try
from shopstock.models import Reinforcement, Shop

from .racks import OnRacks, Racks, cost_of
from .stack_cloth import cost_ratio
from .target import Target

MOST_SHOWN = 6
MOST_CHECKED = 24
MOST_SHORT = 4
Option = tuple[Reinforcement, str, LaidPly]
Candidate = tuple[list[LaidFabric], list[LaidPly]]


@dataclass(frozen=True)
class Row:
    """A stack that could stand in, with its figures."""

    plies: tuple[LaidFabric, ...]
    comparison: Comparison
    cloth: tuple[ClothTaken, ...]
    cost_ratio: float | None
    cost: Decimal | None
    free_mm: tuple[tuple[Reinforcement, int], ...]
    racks: OnRacks | None

    @property
    def words(self) -> str:
        return in_words(self.plies)

    @property
    def text(self) -> str:
        return written(self.plies)

    @property
    def is_bias_cut(self) -> bool:
        return any(one.is_bias_cut for one in self.cloth)

    @property
    def used_share(self) -> float:
        return sum(one.ply_mm2 for one in self.cloth) / sum(one.blanks_mm2 for one in self.cloth)

    @property
    def order(self) -> tuple:
        """Inside a class: fewest plies, straight before bias, least mass, oldest, offcuts first, cost."""
        racks = self.racks or OnRacks(False)
        return (
            self.comparison.grade,
            len(self.plies),
            self.is_bias_cut,
            round(self.comparison.other_ratios["mass"], 6),
            racks.oldest or "9999",
            -racks.offcuts,
            self.cost if self.cost is not None else Decimal("Infinity"),
        )


@dataclass(frozen=True)
class Found:
    rows: tuple[Row, ...]
    short: tuple[Row, ...]
    gated: tuple[tuple[str, str], ...]
    tried: int
    swapped: int = 0


def find_stand_ins(target: Target, shop: Shop, *, at: datetime.datetime, tolerance: float, limit: float) -> Found:
    """Raises REFUSALS when the specification itself has no figures."""
    racks = Racks(target, shop, at)
    materials = materials_for(resin_kind(target.job))
    options, gated = _options(target, racks, materials)
    gap = target.gap
    laid = [ply for _, _, ply in options]
    stacks = stand_ins(laid, gap, materials, tolerance=tolerance, limit=limit)
    tried = [([LaidFabric(*options[at][:2]) for at in stack], [laid[at] for at in stack]) for stack in stacks]
    swapped = list(swaps(target, options))
    fitting, misfits = _by_grade(swapped, gap, materials, tolerance, limit)
    rows, unlaid = [], []
    for plies, stack in _once([*fitting, *tried]):
        row = _row(target, racks, materials, plies, stack, tolerance, limit, check=True)
        if row.racks.fits and row.comparison.grade != CLASS_C:
            rows.append(row)
        else:
            unlaid.append((row.words, row.racks.why_not or row.comparison.reasons[0]))
        if len(rows) >= MOST_SHOWN or len(rows) + len(unlaid) >= MOST_CHECKED:
            break
    singles = [([LaidFabric(fabric, direction)], [ply]) for fabric, direction, ply in options]
    nearest = misfits if target.is_whole else singles if len(target.replaced) == 1 else []
    short = _short_rows(target, racks, materials, nearest, rows, tolerance, limit)
    rows.sort(key=lambda row: row.order)
    return Found(tuple(rows), short, (*gated, *unlaid), combinations_tried(len(laid)), len(swapped))


def swaps(target: Target, options: Sequence[Option]) -> Iterator[Candidate]:
    """Of a whole lay-up of several plies: one of its fabrics given up throughout for one or two plies of another."""
    if not target.is_whole or len(target.replaced) == 1:
        return
    specified = list(zip(target.specified, target.gap.replaced, strict=True))
    for given_up in dict.fromkeys((ply.fabric.pk, ply.direction) for ply, _ in specified):
        for fabric, direction, ply in options:
            if (fabric.pk, direction) == given_up:
                continue
            for times in (1, 2):
                new = [(LaidFabric(fabric, direction), ply)] * times
                pairs = [
                    pair
                    for old in specified
                    for pair in (new if (old[0].fabric.pk, old[0].direction) == given_up else [old])
                ]
                yield [words for words, _ in pairs], [one for _, one in pairs]


def _once(candidates: Sequence[Candidate]) -> list[Candidate]:
    """A stack of few plies may be a swap as well."""
    return list({written(plies): (plies, stack) for plies, stack in reversed(candidates)}.values())[::-1]


def _by_grade(
    candidates: Sequence[Candidate], gap: Gap, materials: Materials, tolerance: float, limit: float
) -> tuple[list[Candidate], list[Candidate]]:
    """Those that hold, the best first, and those that do not, the nearest first."""
    limits = {"tolerance": tolerance, "limit": limit}
    rough = rough_ratios([gap.filled(stack) for _, stack in candidates], gap.specified, materials, **limits)
    order = sorted(range(len(candidates)), key=lambda at: -rough[at][0])
    near = [at for at in order if not rough[at][1]][: 2 * MOST_SHORT]
    found = [
        (compare(gap.filled(candidates[at][1]), gap.specified, materials, **limits), *candidates[at])
        for at in order
        if rough[at][1] or at in near
    ]
    holding = [row for row in found if row[0].grade != CLASS_C]
    holding.sort(key=lambda row: (row[0].grade, len(row[1]), row[0].other_ratios["mass"]))
    others = sorted((row for row in found if row[0].grade == CLASS_C), key=lambda row: -row[0].worst_ratio)
    return [row[1:] for row in holding], [row[1:] for row in others[:MOST_SHORT]]


def _options(target: Target, racks: Racks, materials: Materials):
    """(fabric, direction, laid ply) of every fabric through the gates, and the names of those held back with why."""
    options, gated = [], []
    for fabric in racks.fabrics:
        reason = racks.gate(fabric)
        if reason:
            gated.append((fabric.name, reason))
            continue
        for direction in _directions(fabric, target):
            found, ply = racks.taken(fabric, direction), None
            try:
                ply = laid_as(fabric, direction, target.job.process)
            except REFUSALS as error:
                gated.append((fabric.name, str(error)))
                break
            words = LaidFabric(fabric, direction)
            if found.refusal:
                gated.append((words.words, found.refusal))
            elif not _is_specified(words, target):
                options.append((fabric, direction, ply))
    return options, gated


def _directions(fabric: Reinforcement, target: Target) -> list[str]:
    directions = directions_to_try(fabric)
    slanted = {ply.direction for ply in target.replaced} & {Ply.Direction.PLUS, Ply.Direction.MINUS}
    one_way = fabric.turning == Reinforcement.Turning.NEVER
    return [*directions, *sorted(slanted)] if one_way and slanted else directions


def _is_specified(laid: LaidFabric, target: Target) -> bool:
    """The specified ply itself is no stand-in; in a whole lay-up its fabrics may serve in other numbers."""
    if len(target.replaced) > 1:
        return False
    ply = target.replaced[0]
    return ply.reinforcement_id == laid.fabric.pk and ply.direction == laid.direction


def _row(
    target: Target,
    racks: Racks,
    materials: Materials,
    plies: Sequence[LaidFabric],
    laid: Sequence[LaidPly],
    tolerance: float,
    limit: float,
    *,
    check: bool,
) -> Row:
    gap = target.gap
    cloth = tuple(racks.taken(ply.fabric, ply.direction) for ply in plies)
    cost = cost_of(cloth)
    fabrics = {ply.fabric.pk: ply.fabric for ply in plies}
    return Row(
        plies=tuple(plies),
        comparison=compare(gap.filled(laid), gap.specified, materials, tolerance=tolerance, limit=limit),
        cloth=cloth,
        cost_ratio=cost_ratio(cost, racks.specified_cost),
        cost=cost,
        free_mm=tuple((fabric, racks.free_mm(fabric)) for fabric in fabrics.values()),
        racks=racks.check(plies) if check else None,
    )


def _short_rows(
    target, racks, materials, candidates: Sequence[Candidate], rows, tolerance: float, limit: float
) -> tuple[Row, ...]:
    """Single fabrics or swaps that come nearest without being equivalent, so that a near miss is seen as one."""
    found = {row.text for row in rows}
    tried = [
        _row(target, racks, materials, plies, stack, tolerance, limit, check=False)
        for plies, stack in candidates
        if written(plies) not in found
    ]
    short = [row for row in tried if row.comparison.grade == CLASS_C]
    return tuple(sorted(short, key=lambda row: -row.comparison.worst_ratio)[:MOST_SHORT])
