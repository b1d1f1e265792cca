"""What quoted jobs, in every combination in which they may come, would cut from new rolls, piece by piece.

The jobs in hand are served first, and the minimum kept stays on the racks; then each combination is served by first fit
from what is left, and from new rolls for what finds no place there.
"""

import datetime
from collections.abc import Sequence
from dataclasses import replace

from jobs.calc.serving import COMING, Cloth, JobOfDay, serve_one
from shopstock.arrivals import Arrival
from shopstock.demand import ClothShortage, QuotedCuts
from shopstock.models import Shop
from shopstock.to_order_line import soonest_of

from .asking import Asked
from .pieces import Piece
from .racks import ALL_ROLLS, Racks, cloth_on_racks
from .shortages import ClothNeed, merged
from .work import Work

MOST_PACKED = 8  # quoted jobs of one reinforcement: 256 combinations


def quoted_cuts(
    work: Sequence[Work],
    quoted: Sequence[Work],
    shortages: Sequence[ClothShortage],
    coming: Sequence[Arrival],
    on: datetime.date,
    shop: Shop,
) -> list[QuotedCuts]:
    """For each reinforcement of the quoted jobs for which an order of today would come in time, if they are not many.

    `shortages` are those of the jobs in hand: the rolls to be bought for them are there as well.
    """
    firm, may_be = Asked(work, coming, on, shop), Asked(quoted, coming, on, shop)
    cloth = cloth_on_racks(list(firm.kinds | may_be.kinds), shop, ALL_ROLLS, on)
    firm.choose_widths(cloth)
    may_be.widths = {pk: Racks(kind, (), shop).new_width_mm for pk, kind in may_be.kinds.items()}
    rolls = {short.reinforcement_id: short.rolls for short in shortages}
    found = []
    for pk, kind in may_be.kinds.items():
        racks, soonest = may_be.racks(pk, cloth[pk]), soonest_of(kind, on)
        wanted = [item for item in may_be.wanted(pk, racks.new_width_mm) if soonest is None or item.on >= soonest]
        if 0 < len(wanted) <= MOST_PACKED:
            left = _left_for_quotes(firm, racks, rolls.get(pk, 0))
            found.append(QuotedCuts(pk, _combinations(racks, wanted, left)))
    return found


def _left_for_quotes(firm: Asked, racks: Racks, bought: int) -> list[Cloth]:
    """What the jobs in hand leave of the racks, of what comes and of the rolls bought for them, less the minimum."""
    kind = racks.kind
    there = racks.lengths + [replace(roll, source=COMING) for roll in racks.new_lengths(bought)]
    widths = racks.widths_mm if kind.pk in firm.kinds else []
    ways = [_left_by(racks, firm.wanted(kind.pk, width), there) for width in widths]
    _, left = min(ways, key=lambda way: way[0], default=(0, there))
    return _without(left, kind.minimum_mm if kind.active else 0)


def _left_by(racks: Racks, wanted: Sequence[ClothNeed], there: Sequence[Cloth]) -> tuple[int, list[Cloth]]:
    """How many pieces of these jobs find no place, and what is left of the cloth."""
    left = list(there)
    rows = [serve_one(_asking(racks, item), left, allowance_mm=racks.allowance_mm) for item in wanted]
    return sum(count for row in rows for _, count in row.missing), left


def _asking(racks: Racks, item: ClothNeed) -> JobOfDay:
    return JobOfDay(item.job.pk, item.on, tuple(map(racks.blank_of, merged(item.pieces))))


def _without(lengths: Sequence[Cloth], kept_mm: int) -> list[Cloth]:
    """Less what is kept, which stays on the longest."""
    left = list(lengths)
    for number in sorted(range(len(left)), key=lambda number: -left[number].length_mm):
        stays = min(kept_mm, left[number].length_mm)
        left[number] = replace(left[number], length_mm=left[number].length_mm - stays)
        kept_mm -= stays
    return left


def _combinations(racks: Racks, wanted: Sequence[ClothNeed], left: Sequence[Cloth]) -> dict[frozenset[int], tuple]:
    """For each set of jobs, the mm cut from each new roll that is begun."""
    pieces = [piece for item in wanted for piece in item.pieces]
    least_mm = min(map(_least_along_mm, pieces), default=0)
    left = [cloth for cloth in left if cloth.length_mm >= least_mm]  # ends that give no piece only take time
    new = racks.new_lengths(racks.enough_new(pieces))
    found = {frozenset(): [*left, *new]}
    for item in wanted:
        job = _asking(racks, item)
        for come, there in list(found.items()):
            after = list(there)
            serve_one(job, after, allowance_mm=racks.allowance_mm)
            found[come | {job.key}] = after
    return {come: _cut(after[len(left) :], racks.kind.roll_length_mm) for come, after in found.items()}


def _least_along_mm(piece: Piece) -> int:
    return min(piece.along_mm, piece.across_mm) if 90 in piece.turns else piece.along_mm


def _cut(rolls: Sequence[Cloth], length_mm: int) -> tuple[int, ...]:
    return tuple(length_mm - roll.length_mm for roll in rolls if roll.begun)
