"""What planned jobs need of the storeroom; registered with `shopstock.demand` when the program starts."""

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from jobs.calc.cutting import Plan, Stock, Strip
from shopstock.calc.units import format_length
from shopstock.demand import ClothShortage, ResinNeed
from shopstock.models import Reinforcement, Shop

from .free_cloth import FreeCloth, free_cloth
from .models import Job
from .pieces import LayUp, Piece, lay_up_of, usable_width_mm, without
from .planning import (
    LEAST_SECONDS,
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

SECONDS = 0.2  # for the question whether a reinforcement is short; the finer ones take the least there is
MOST_TRIES = 20
NEW = "new roll "


def jobs_to_do() -> list[Job]:
    """Planned work, those just noticed as cut left out."""
    return [job for job in planned_work() if not notice_cut(job, confirmed_plan(job))]


@dataclass(frozen=True)
class Work:
    """A job, what of it is cut or set aside already, and the widths its begun panels were made for."""

    job: Job
    there: Counter
    widths_mm: dict[int, int]

    def wanted(self, widths_mm: dict[int, int]) -> LayUp:
        lay_up = lay_up_of(self.job, widths_mm | self.widths_mm)
        return replace(lay_up, pieces=without(lay_up.pieces, self.there))


def work_to_do() -> list[Work]:
    return [Work(job, cut_or_promised_pieces(job), cut_widths_mm(job)) for job in jobs_to_do()]


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    shop, work = Shop.current(), work_to_do()
    kinds = reinforcements_of(item.job for item in work)
    cloth = free_cloth(list(kinds), shop)
    racks = {pk: Racks(kind, cloth[pk], shop) for pk, kind in kinds.items()}
    widths = {pk: rack.widths_mm[0] for pk, rack in racks.items()}

    def wanted_at(pk: int, width_mm: int) -> list[tuple[Job, LayUp]]:
        return [(item.job, item.wanted(widths | {pk: width_mm}).of(pk)) for item in work]

    found = (_least_short(rack, [wanted_at(pk, width) for width in rack.widths_mm]) for pk, rack in racks.items())
    return [shortage for shortage in found if shortage is not None]


def _least_short(racks: "Racks", ways: list[list[tuple[Job, LayUp]]]) -> ClothShortage | None:
    """None when the panels of any width come out of what is free; otherwise what the widest are short of."""
    shortages = []
    for number, wanted in enumerate(ways):
        if wanted not in ways[:number]:
            shortages.append(_shortage(racks, wanted))
            if shortages[-1] is None:
                return None
    return shortages[0]


@dataclass(frozen=True)
class Racks:
    """What there is of one reinforcement, and what a new roll of it would be."""

    kind: Reinforcement
    cloth: Sequence[FreeCloth]
    shop: Shop

    @property
    def new_width_mm(self) -> int:
        return max(1, usable_width_mm(self.kind.width_mm, self.shop))

    @property
    def widths_mm(self) -> list[int]:
        """For panels that come out of the racks' rolls and of new ones alike, widest first."""
        widths = widths_to_try(self.kind, self.cloth, self.shop)
        return sorted({min(self.new_width_mm, width) for width in widths}, reverse=True)

    def new_rolls(self, count: int) -> list[Stock]:
        trim_mm = self.shop.edge_trim_mm if self.kind.width_mm > 2 * self.shop.edge_trim_mm else 0
        width_mm, length_mm = self.kind.width_mm, self.kind.roll_length_mm
        return [Stock(f"{NEW}{n}", "roll", width_mm, trim_mm, length_mm, preference=1) for n in range(count)]

    def fits_new_roll(self, piece: Piece) -> bool:
        length_mm = self.kind.roll_length_mm - self.shop.cutting_allowance_mm
        ways = [(piece.across_mm, piece.along_mm)]
        if 90 in piece.turns:
            ways.append((piece.along_mm, piece.across_mm))
        return any(across <= self.new_width_mm and along <= length_mm for across, along in ways)

    def plan(self, pieces: Sequence[Piece], new_rolls: int = 0, seconds: float = LEAST_SECONDS) -> "Found":
        """Plan on what is free and this many new rolls; what is too wide for all of it is missing at once."""
        fresh = self.new_rolls(new_rolls)
        widths = [item.usable_width_mm for item in self.cloth] + [stock.usable_width_mm for stock in fresh]
        widest_mm = max(widths, default=0) - self.shop.cutting_allowance_mm
        fitting = merged(piece for piece in pieces if least_across_mm(piece) <= widest_mm)
        missing = [piece for piece in pieces if least_across_mm(piece) > widest_mm]
        if not fitting:
            return Found(missing)
        plan = ask(problem_of(self.kind.name, fitting, self.cloth, self.shop, extra=fresh), seconds)
        by_id = {blank_id(piece): piece for piece in fitting}
        return Found(missing + [replace(by_id[line.id], count=line.count) for line in plan.unplaced], plan)


@dataclass(frozen=True)
class Found:
    """The pieces that found no place, and the plan of the others."""

    missing: list[Piece]
    planned: Plan | None = None

    @property
    def cut_from_new(self) -> list[Strip]:
        return [] if self.planned is None else [s for s in self.planned.strips if s.stock.startswith(NEW)]


def _shortage(racks: Racks, wanted: list[tuple[Job, LayUp]]) -> ClothShortage | None:
    wanted = [(job, lay_up) for job, lay_up in wanted if lay_up.pieces or lay_up.refusals]
    pieces = [(job, piece) for job, lay_up in wanted for piece in lay_up.pieces]
    try:
        missing = racks.plan([piece for _, piece in pieces], seconds=SECONDS).missing
    except CannotPlan as error:
        return _cannot(racks.kind, wanted, str(error))
    if not missing:
        return _refused(racks.kind, wanted)
    first = _first_short(racks, pieces)
    rolls, length_mm, reason = _new_rolls(racks, [piece for _, piece in pieces], missing)
    return ClothShortage(
        reinforcement_id=racks.kind.pk,
        pieces=sum(piece.count for piece in missing),
        length_mm=length_mm,
        rolls=rolls,
        needed_on=first.cut_on,
        for_jobs=_names(job for job, _ in pieces if job.cut_on >= first.cut_on),
        reason=reason,
    )


def _names(jobs: Iterable[Job]) -> tuple[str, ...]:
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


def merged(pieces: Iterable[Piece]) -> list[Piece]:
    """One line a blank, its counts added."""
    by_id: dict[str, Piece] = {}
    for piece in pieces:
        known = by_id.get(blank_id(piece))
        by_id[blank_id(piece)] = replace(known, count=known.count + piece.count) if known else piece
    return list(by_id.values())


def _first_short(racks: Racks, pieces: list[tuple[Job, Piece]]) -> Job:
    """The first job, in order of its day, that the racks cannot serve together with those before it."""
    jobs = list(dict.fromkeys(job for job, _ in pieces))
    low, high = 0, len(jobs) - 1
    while low < high:
        middle = (low + high) // 2
        so_far = set(jobs[: middle + 1])
        if racks.plan([piece for job, piece in pieces if job in so_far]).missing:
            high = middle
        else:
            low = middle + 1
    return jobs[low]


def _new_rolls(racks: Racks, pieces: Sequence[Piece], missing: Sequence[Piece]) -> tuple[int, int, str]:
    """The fewest whole rolls as sold with which nothing is missing, the length cut from them, and why they are needed.

    What even a new roll cannot give (too long, too wide) is left out of the count; when it is all, the reason says so.
    """
    longest_mm = max(min(p.along_mm, p.across_mm) if 90 in p.turns else p.along_mm for p in missing)
    reason = f"pieces up to {format_length(longest_mm, racks.shop.units)} long find no place on what is free"
    giveable = [piece for piece in missing if racks.fits_new_roll(piece)]
    if not giveable:
        return 0, 0, f"{reason}, and a new roll as sold cannot give them either: allow a seam or choose another cloth"
    area_mm2 = sum(piece.area_mm2 for piece in giveable)
    rolls = max(1, ceil(area_mm2 / (racks.kind.width_mm * racks.kind.roll_length_mm)))
    hopeless = {blank_id(piece) for piece in missing} - {blank_id(piece) for piece in giveable}
    possible = [piece for piece in pieces if blank_id(piece) not in hopeless]
    found = racks.plan(possible, rolls)
    for _ in range(MOST_TRIES):
        if not found.missing:
            break
        rolls += 1
        found = racks.plan(possible, rolls)
    return rolls, sum(strip.length_mm for strip in found.cut_from_new), reason


def resin_needs(on: datetime.date) -> list[ResinNeed]:
    shop = Shop.current()
    return [
        ResinNeed(chemical.pk, mass_g, job.cut_on, str(job))
        for job in jobs_to_do()
        for chemical, mass_g in resin_of_job(job, shop).needs(job)
    ]


def shortest_blanks_mm() -> dict[int, int]:
    shop, work = Shop.current(), work_to_do()
    kinds = reinforcements_of(item.job for item in work)
    widths = {pk: max(1, usable_width_mm(kind.width_mm, shop)) for pk, kind in kinds.items()}
    shortest: dict[int, int] = {}
    for item in work:
        for piece in item.wanted(widths).pieces:
            along_mm = _least_along_mm(piece, widths[piece.reinforcement_id]) + shop.cutting_allowance_mm
            kind = piece.reinforcement_id
            shortest[kind] = min(along_mm, shortest.get(kind, along_mm))
    return shortest


def _least_along_mm(piece: Piece, width_mm: int) -> int:
    turned_fits = 90 in piece.turns and piece.along_mm <= width_mm
    return min(piece.along_mm, piece.across_mm) if turned_fits else piece.along_mm
