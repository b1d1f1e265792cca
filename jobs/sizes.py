"""Which width to buy: planned work of one reinforcement cut from new rolls of each size that is sold."""

import datetime
from collections.abc import Sequence
from decimal import Decimal

from jobs.calc.cutting import Plan, Problem, Stock
from shopstock.demand import SizeAsSold, SizeTried
from shopstock.models import Reinforcement, Shop

from .asking import Asked
from .pieces import Piece, usable_width_mm
from .planning import CannotPlan, ask
from .racks import Racks, enough_rolls
from .shortages import ClothNeed, merged
from .work import Work

SECONDS = 0.3  # for each size


def try_sizes(
    kind: Reinforcement, work: Sequence[Work], sizes: Sequence[SizeAsSold], on: datetime.date, shop: Shop
) -> list[SizeTried]:
    asked = Asked(work, (), on, shop)
    asked.widths = {pk: max(1, usable_width_mm(other.width_mm, shop)) for pk, other in asked.kinds.items()}
    return [_try(asked, kind, size) for size in sizes]


def _try(asked: Asked, kind: Reinforcement, size: SizeAsSold) -> SizeTried:
    width_mm = usable_width_mm(size.width_mm, asked.shop)
    if width_mm <= 0:
        return SizeTried(size, problem="narrower than its two trimmed edges")
    wanted = asked.wanted(kind.pk, width_mm)
    refused = _refusal(wanted)
    if refused:
        return SizeTried(size, problem=refused)
    pieces = merged(piece for item in wanted for piece in item.pieces)
    if not pieces:
        return SizeTried(size, problem="no planned job wants any of it now")
    try:
        return _planned(Racks(kind, [], asked.shop), size, width_mm, pieces)
    except CannotPlan as error:
        return SizeTried(size, problem=str(error))


def _refusal(wanted: Sequence[ClothNeed]) -> str:
    return next((refusal.reason for item in wanted for refusal in item.lay_up.refusals), "")


def _planned(racks: Racks, size: SizeAsSold, width_mm: int, pieces: Sequence[Piece]) -> SizeTried:
    count = enough_rolls(pieces, sum(piece.area_mm2 for piece in pieces), width_mm * size.length_mm)
    trim_mm = racks.shop.edge_trim_mm if size.width_mm > 2 * racks.shop.edge_trim_mm else 0
    rolls = tuple(Stock(f"roll {n}", "roll", size.width_mm, trim_mm, size.length_mm) for n in range(count))
    blanks = tuple(map(racks.blank_of, pieces))
    plan = ask(Problem(racks.kind.name, rolls, blanks, allowance_mm=racks.allowance_mm), SECONDS)
    if plan.unplaced:
        return SizeTried(size, problem=f"{plan.unplaced[0].reason}")
    return _tried(size, pieces, plan)


def _tried(size: SizeAsSold, pieces: Sequence[Piece], plan: Plan) -> SizeTried:
    length_mm = sum(strip.length_mm for strip in plan.strips)
    cut_mm2 = length_mm * size.width_mm
    laid_mm2 = sum(piece.area_mm2 for piece in pieces)
    return SizeTried(
        size,
        panels=sum(piece.count for piece in pieces),
        length_mm=length_mm,
        rolls=len({strip.stock for strip in plan.strips}),
        waste_percent=round(Decimal(100 * (cut_mm2 - laid_mm2)) / cut_mm2, 1),
    )
