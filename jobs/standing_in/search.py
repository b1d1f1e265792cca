"""What on the racks could stand in: every stack of up to three plies, and whether the cloth is there."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.stand_in import CLASS_C, Comparison, compare
from jobs.calc.stand_in_search import combinations_tried, stand_ins
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


def find_stand_ins(target: Target, shop: Shop, *, at: datetime.datetime, tolerance: float, limit: float) -> Found:
    """Raises REFUSALS when the specification itself has no figures."""
    racks = Racks(target, shop, at)
    materials = materials_for(resin_kind(target.job))
    options, gated = _options(target, racks, materials)
    gap = target.gap
    laid = [ply for _, _, ply in options]
    rows, unlaid = [], []
    for stack in stand_ins(laid, gap, materials, tolerance=tolerance, limit=limit):
        plies = [LaidFabric(options[at][0], options[at][1]) for at in stack]
        row = _row(target, racks, materials, plies, [laid[at] for at in stack], tolerance, limit, check=True)
        if row.racks.fits and row.comparison.grade != CLASS_C:
            rows.append(row)
        else:
            unlaid.append((row.words, row.racks.why_not or row.comparison.reasons[0]))
        if len(rows) >= MOST_SHOWN or len(rows) + len(unlaid) >= MOST_CHECKED:
            break
    short = _short_rows(target, racks, materials, options, rows, tolerance, limit)
    return Found(
        tuple(sorted(rows, key=lambda row: row.order)), short, (*gated, *unlaid), combinations_tried(len(laid))
    )


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


def _short_rows(target, racks, materials, options, rows, tolerance: float, limit: float) -> tuple[Row, ...]:
    """Single fabrics that come nearest without being equivalent, so that a near miss is seen as one."""
    if len(target.replaced) > 1:
        return ()  # one fabric is no near miss of a whole lay-up
    found = {row.text for row in rows}
    singles = [
        _row(target, racks, materials, [LaidFabric(fabric, direction)], [ply], tolerance, limit, check=False)
        for fabric, direction, ply in options
        if written([LaidFabric(fabric, direction)]) not in found
    ]
    short = [row for row in singles if row.comparison.grade == CLASS_C]
    return tuple(sorted(short, key=lambda row: -row.comparison.worst_ratio)[:MOST_SHORT])
