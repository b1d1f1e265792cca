"""What planned jobs need of the storeroom; registered with `shopstock.demand` when the program starts."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from jobs.calc.cutting import Plan, Stock
from shopstock.calc.units import format_length
from shopstock.demand import ClothShortage, ResinNeed
from shopstock.models import Reinforcement, Shop

from .free_cloth import FreeCloth, free_cloth
from .models import Job
from .pieces import LayUp, Piece, lay_up_of, usable_width_mm, without
from .planning import (
    CannotPlan,
    ask,
    blank_id,
    least_across_mm,
    problem_of,
    reinforcements_of,
    widths_to_try,
)
from .plans import notice_cut
from .queries import confirmed_plan, cut_or_promised_pieces, cut_widths_mm, planned_work
from .resin_need import resin_of_job

SECONDS = 0.3  # for one question to the planner
WORK_LIMIT = 10
MOST_NEW_ROLLS = 40


def jobs_to_do() -> list[Job]:
    """Planned work, those just noticed as cut left out."""
    return [job for job in planned_work() if not notice_cut(job, confirmed_plan(job))]


def wanted_of(job: Job, widths_mm: dict[int, int]) -> LayUp:
    """What of a job is neither cut nor set aside yet."""
    lay_up = lay_up_of(job, widths_mm | cut_widths_mm(job))
    return replace(lay_up, pieces=without(lay_up.pieces, cut_or_promised_pieces(job)))


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    shop, jobs = Shop.current(), jobs_to_do()
    kinds = reinforcements_of(jobs)
    cloth = free_cloth(list(kinds), shop)
    widths = {pk: _width_for_all(kind, cloth[pk], shop) for pk, kind in kinds.items()}
    wanted = [(job, wanted_of(job, widths)) for job in jobs]
    found = (_shortage(kind, [(job, w.of(pk)) for job, w in wanted], cloth[pk], shop) for pk, kind in kinds.items())
    return [shortage for shortage in found if shortage is not None]


def _width_for_all(kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop) -> int:
    """Panels that come out of the racks' rolls and of new ones alike."""
    catalogue_mm = max(1, usable_width_mm(kind.width_mm, shop))
    return min(catalogue_mm, widths_to_try(kind, cloth, shop)[0])


def _shortage(
    kind: Reinforcement, wanted: list[tuple[Job, LayUp]], cloth: Sequence[FreeCloth], shop: Shop
) -> ClothShortage | None:
    wanted = [(job, lay_up) for job, lay_up in wanted if lay_up.pieces or lay_up.refusals]
    pieces = [(job, piece) for job, lay_up in wanted for piece in lay_up.pieces]
    try:
        missing = _missing([piece for _, piece in pieces], kind, cloth, shop)
    except CannotPlan as error:
        return _cannot(kind, wanted, str(error))
    if not missing:
        return _refused(kind, wanted)
    first = _first_short(pieces, kind, cloth, shop)
    rolls, length_mm, reason = _new_rolls([piece for _, piece in pieces], kind, cloth, shop)
    return ClothShortage(
        reinforcement_id=kind.pk,
        pieces=sum(piece.count for piece in missing),
        length_mm=length_mm,
        rolls=rolls,
        needed_on=first.cut_on,
        for_jobs=_names(job for job, _ in pieces if job.cut_on >= first.cut_on),
        reason=reason,
    )


def _names(jobs) -> tuple[str, ...]:
    return tuple(dict.fromkeys(str(job) for job in jobs))


def _cannot(kind: Reinforcement, wanted: list[tuple[Job, LayUp]], reason: str) -> ClothShortage:
    pieces = [piece for _, lay_up in wanted for piece in lay_up.pieces]
    length_mm = sum(piece.along_mm * piece.count for piece in pieces)
    count = sum(piece.count for piece in pieces)
    return ClothShortage(kind.pk, count, length_mm, 0, wanted[0][0].cut_on, _names(j for j, _ in wanted), reason)


def _refused(kind: Reinforcement, wanted: list[tuple[Job, LayUp]]) -> ClothShortage | None:
    """Plies that no roll of this width can give: buying more of it does not help, and the row says so."""
    refused = [(job, refusal) for job, lay_up in wanted for refusal in lay_up.refusals]
    if not refused:
        return None
    job, first = refused[0]
    count = sum(refusal.pieces for _, refusal in refused)
    return ClothShortage(kind.pk, count, 0, 0, job.cut_on, _names(job for job, _ in refused), first.reason)


def _missing(
    pieces: Sequence[Piece], kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop, new_rolls: int = 0
) -> list[Piece]:
    """The pieces that find no place on free cloth and this many new rolls."""
    return _missing_and_plan(pieces, kind, cloth, shop, new_rolls)[0]


def _missing_and_plan(
    pieces: Sequence[Piece], kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop, new_rolls: int
) -> tuple[list[Piece], Plan | None]:
    fresh = tuple(_new_roll(kind, shop, number) for number in range(new_rolls))
    widest_mm = max([item.usable_width_mm for item in cloth] + [stock.usable_width_mm for stock in fresh], default=0)
    fitting = [p for p in pieces if least_across_mm(p) + shop.cutting_allowance_mm <= widest_mm]
    missing = [piece for piece in pieces if piece not in fitting]
    if not fitting:
        return missing, None
    plan = ask(problem_of(kind.name, merged(fitting), cloth, shop, extra=fresh), SECONDS, WORK_LIMIT)
    by_id = {blank_id(piece): piece for piece in fitting}
    missing += [replace(by_id[line.id], count=line.count) for line in plan.unplaced]
    return missing, plan


def merged(pieces: Sequence[Piece]) -> list[Piece]:
    """One line a blank: a ply that is partly cut in two sizes keeps its two lines apart by name."""
    by_id: dict[str, Piece] = {}
    for piece in pieces:
        known = by_id.get(blank_id(piece))
        by_id[blank_id(piece)] = replace(known, count=known.count + piece.count) if known else piece
    return list(by_id.values())


def _new_roll(kind: Reinforcement, shop: Shop, number: int) -> Stock:
    return Stock(
        id=f"new {number + 1}",
        kind="roll",
        width_mm=kind.width_mm,
        trim_mm=shop.edge_trim_mm if kind.width_mm > 2 * shop.edge_trim_mm else 0,
        length_mm=kind.roll_length_mm,
        preference=1,
    )


def _first_short(pieces: list[tuple[Job, Piece]], kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop) -> Job:
    """The first job, in order of its day, that the racks cannot serve together with those before it."""
    jobs = list(dict.fromkeys(job for job, _ in pieces))
    low, high = 0, len(jobs) - 1
    while low < high:
        middle = (low + high) // 2
        so_far = set(jobs[: middle + 1])
        if _missing([piece for job, piece in pieces if job in so_far], kind, cloth, shop):
            high = middle
        else:
            low = middle + 1
    return jobs[low]


def _new_rolls(
    pieces: Sequence[Piece], kind: Reinforcement, cloth: Sequence[FreeCloth], shop: Shop
) -> tuple[int, int, str]:
    """The fewest whole rolls as sold with which nothing is missing, the length cut from them, and why they are needed.

    What even a new roll cannot give (too long, too wide) is left out of the count and named in the reason.
    """
    allowance_mm = shop.cutting_allowance_mm
    possible = [p for p in pieces if _fits_new_roll(p, kind, shop, allowance_mm)]
    missing_now = _missing(pieces, kind, cloth, shop)
    longest_mm = max(min(p.along_mm, p.across_mm) if 90 in p.turns else p.along_mm for p in missing_now)
    reason = f"pieces up to {format_length(longest_mm, shop.units)} long find no place on what is free"
    if not any(_fits_new_roll(piece, kind, shop, allowance_mm) for piece in missing_now):
        return 0, 0, f"{reason}, and a new roll as sold cannot give them either: allow a seam or choose another cloth"
    area_mm2 = sum(p.area_mm2 for p in missing_now if p in possible or _fits_new_roll(p, kind, shop, allowance_mm))
    least = max(1, ceil(area_mm2 / (kind.width_mm * kind.roll_length_mm)))
    for rolls in range(least, least + MOST_NEW_ROLLS):
        missing, plan = _missing_and_plan(possible, kind, cloth, shop, rolls)
        if not missing or rolls == least + MOST_NEW_ROLLS - 1:
            cut = [strip for strip in plan.strips if strip.stock.startswith("new ")] if plan else []
            return len({strip.stock for strip in cut}) or rolls, sum(strip.length_mm for strip in cut), reason
    raise AssertionError("the loop above returns")


def _fits_new_roll(piece: Piece, kind: Reinforcement, shop: Shop, allowance_mm: int) -> bool:
    width_mm, length_mm = usable_width_mm(kind.width_mm, shop), kind.roll_length_mm - allowance_mm
    ways = [(piece.across_mm, piece.along_mm)]
    if 90 in piece.turns:
        ways.append((piece.along_mm, piece.across_mm))
    return any(across <= width_mm and along <= length_mm for across, along in ways)


def resin_needs(on: datetime.date) -> list[ResinNeed]:
    shop = Shop.current()
    return [
        ResinNeed(chemical.pk, mass_g, job.cut_on, str(job))
        for job in jobs_to_do()
        for chemical, mass_g in resin_of_job(job, shop).needs(job)
    ]


def shortest_blanks_mm() -> dict[int, int]:
    shop, jobs = Shop.current(), jobs_to_do()
    kinds = reinforcements_of(jobs)
    widths = {pk: max(1, usable_width_mm(kind.width_mm, shop)) for pk, kind in kinds.items()}
    shortest: dict[int, int] = {}
    for job in jobs:
        for piece in wanted_of(job, widths).pieces:
            along_mm = _least_along_mm(piece, widths[piece.reinforcement_id]) + shop.cutting_allowance_mm
            kind = piece.reinforcement_id
            shortest[kind] = min(along_mm, shortest.get(kind, along_mm))
    return shortest


def _least_along_mm(piece: Piece, width_mm: int) -> int:
    turned_fits = 90 in piece.turns and piece.along_mm <= width_mm
    return min(piece.along_mm, piece.across_mm) if turned_fits else piece.along_mm
