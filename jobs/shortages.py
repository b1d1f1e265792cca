"""Which reinforcements planned work runs short of, from which job on, and how many new rolls would cover it.

The question is asked in steps, the cheap ones first: a first fit over a few rolls, then over all, then the planner.
"""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from jobs.calc.cutting import Plan, Problem
from jobs.calc.serving import JobOfDay, ServedJob, serve
from shopstock.calc.units import format_length
from shopstock.demand import ClothShortage

from .models import Job
from .pieces import LayUp, Piece
from .planning import LEAST_SECONDS, CannotPlan, ask, blank_id, least_across_mm
from .racks import NEW, Racks, fitting

SECONDS = 0.2  # for the question whether a reinforcement is short; the finer ones take the least there is


@dataclass(frozen=True)
class ClothNeed:
    """What one job wants of one reinforcement on its day."""

    job: Job
    lay_up: LayUp
    on: datetime.date

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return self.lay_up.pieces


def served(racks: Racks, wanted: Sequence[ClothNeed], new_rolls: int = 0) -> list[ServedJob]:
    """Every job in turn from what is there on its day, by first fit."""
    lengths = racks.lengths + racks.new_lengths(new_rolls)
    widest_mm = max((item.width_mm for item in lengths), default=0) - racks.allowance_mm
    jobs, hopeless = [], {}
    for item in wanted:
        pieces = merged(fitting(item.pieces, widest_mm))
        hopeless[item.job.pk] = [
            (blank_id(piece), piece.count) for piece in item.pieces if least_across_mm(piece) > widest_mm
        ]
        jobs.append(JobOfDay(item.job.pk, item.on, tuple(map(racks.blank_of, pieces))))
    rows = serve(jobs, lengths, allowance_mm=racks.allowance_mm)
    return [replace(row, missing=(*row.missing, *hopeless[row.key])) for row in rows]


def served_with_new(racks: Racks, wanted: Sequence[ClothNeed]) -> list[ServedJob]:
    """The same with as many new rolls as it takes."""
    return served(racks, wanted, racks.enough_new([piece for item in wanted for piece in item.pieces]))


def all_served(racks: Racks, wanted: Sequence[ClothNeed]) -> bool:
    """Whether a first fit serves every job and no ply is refused."""
    return not any(item.lay_up.refusals for item in wanted) and not any(row.missing for row in served(racks, wanted))


def shortage(racks: Racks, wanted: Sequence[ClothNeed]) -> ClothShortage | None:
    """What is short of one reinforcement; None when the racks, and what comes in time, give everything."""
    wanted = [item for item in wanted if item.pieces or item.lay_up.refusals]
    try:
        found = _Short(racks, wanted)
        return found.shortage() if found.missing else _refused(racks, wanted)
    except CannotPlan as error:
        return _cannot(racks, wanted, str(error))


class _Short:
    """One reinforcement that a first fit cannot serve: the planner decides, as seldom as can be."""

    def __init__(self, racks: Racks, wanted: Sequence[ClothNeed]):
        self.racks, self.wanted = racks, wanted
        self.rows = served(racks, wanted)
        self.first = next((number for number, row in enumerate(self.rows) if row.missing), None)
        self.missing = [] if self.first is None else self._plan(len(wanted), seconds=SECONDS)[0]

    def _pieces(self, count: int) -> list[Piece]:
        return merged(piece for item in self.wanted[:count] for piece in item.pieces)

    def _plan(
        self, count: int, new_rolls: int = 0, seconds: float = LEAST_SECONDS, leave: frozenset[str] = frozenset()
    ) -> tuple[list[Piece], Plan | None]:
        """The pieces of the first jobs that find no place in what there is by the last one's day, and the plan."""
        pieces = [piece for piece in self._pieces(count) if blank_id(piece) not in leave]
        stock = self.racks.stock(self.wanted[count - 1].on, new_rolls)
        widest_mm = max((item.usable_width_mm for item in stock), default=0) - self.racks.allowance_mm
        holds = fitting(pieces, widest_mm)
        missing = [piece for piece in pieces if least_across_mm(piece) > widest_mm]
        if not holds:
            return missing, None
        blanks = tuple(map(self.racks.blank_of, holds))
        plan = ask(Problem(self.racks.kind.name, stock, blanks, allowance_mm=self.racks.allowance_mm), seconds)
        by_id = {blank_id(piece): piece for piece in holds}
        return missing + [replace(by_id[line.id], count=line.count) for line in plan.unplaced], plan

    def _first_short(self) -> int:
        """The number of the first job, in the order of serving, that cannot be served with those before it."""
        low, high = self.first, len(self.wanted) - 1
        if low < high and self._plan(low + 1)[0]:
            return low
        while low < high:
            middle = (low + high) // 2
            if self._plan(middle + 1)[0]:
                high = middle
            else:
                low = middle + 1
        return low

    def _stopped(self) -> list[Job]:
        """The first job that is short and those served after it that may be, the first to be cut first.

        A job let go before another may be short on a later day than that other.
        """
        number = self._first_short()
        first = self.wanted[number].job
        after = [
            item.job
            for item, row in zip(self.wanted[number + 1 :], self.rows[number + 1 :], strict=True)
            if row.missing or item.job.cut_on >= first.cut_on
        ]
        return sorted([first, *after], key=lambda job: job.cut_on)

    def shortage(self) -> ClothShortage:
        stopped = self._stopped()
        rolls, length_mm, reason = self._new_rolls()
        return ClothShortage(
            reinforcement_id=self.racks.kind.pk,
            pieces=sum(piece.count for piece in self.missing),
            length_mm=length_mm,
            rolls=rolls,
            needed_on=min(job.cut_on for job in stopped),
            for_jobs=_names(stopped),
            reason=reason,
        )

    def _new_rolls(self) -> tuple[int, int, str]:
        """The fewest whole rolls as sold with which nothing is missing, the length cut from them, and why.

        What even a new roll cannot give (too long, too wide) is left out of the count; when it is all, the reason
        says so.
        """
        racks, missing = self.racks, self.missing
        largest = max(missing, key=lambda piece: (piece.along_mm * piece.across_mm, piece.along_mm))
        size = " × ".join(format_length(side, racks.shop.units) for side in (largest.along_mm, largest.across_mm))
        reason = f"pieces up to {size} find no place on what is free"
        giveable = [piece for piece in missing if racks.fits_new_roll(piece)]
        if not giveable:
            why = "and a new roll as sold cannot give them either: allow a seam or choose another cloth"
            return 0, 0, f"{reason}, {why}"
        hopeless = frozenset(map(blank_id, missing)) - frozenset(map(blank_id, giveable))
        area_mm2 = sum(piece.area_mm2 for piece in giveable)
        least = max(1, ceil(area_mm2 / (racks.kind.width_mm * racks.kind.roll_length_mm)))
        return (*self._fewest(least, hopeless), reason)

    def _fewest(self, least: int, hopeless: frozenset[str]) -> tuple[int, int]:
        """From `least` up: a first fit says how many are enough, the planner whether fewer are."""
        rows = served_with_new(self.racks, self._possible(hopeless))
        rolls, length_mm = max(least, sum(row.new_rolls for row in rows)), sum(row.new_mm for row in rows)
        while least < rolls:
            fewer = (least + rolls) // 2
            missing, plan = self._plan(len(self.wanted), fewer, leave=hopeless)
            if missing:
                least = fewer + 1
            else:
                rolls = fewer
                length_mm = sum(strip.length_mm for strip in plan.strips if strip.stock.startswith(NEW))
        return rolls, length_mm

    def _possible(self, hopeless: frozenset[str]) -> list[ClothNeed]:
        def without(lay_up: LayUp) -> LayUp:
            return replace(lay_up, pieces=tuple(p for p in lay_up.pieces if blank_id(p) not in hopeless))

        return [replace(item, lay_up=without(item.lay_up)) for item in self.wanted]


def _names(jobs: Iterable[Job]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(str(job) for job in jobs))


def _cannot(racks: Racks, wanted: Sequence[ClothNeed], reason: str) -> ClothShortage:
    pieces = [piece for item in wanted for piece in item.pieces]
    length_mm = sum(piece.along_mm * piece.count for piece in pieces)
    count = sum(piece.count for piece in pieces)
    names = _names(item.job for item in wanted)
    return ClothShortage(racks.kind.pk, count, length_mm, 0, wanted[0].job.cut_on, names, reason)


def _refused(racks: Racks, wanted: Sequence[ClothNeed]) -> ClothShortage | None:
    """Plies that no roll of this width can give: buying more of it does not help, and the row says so."""
    refused = [(item.job, refusal) for item in wanted for refusal in item.lay_up.refusals]
    if not refused:
        return None
    job, first = refused[0]
    count = sum(refusal.pieces for _, refusal in refused)
    return ClothShortage(racks.kind.pk, count, 0, 0, job.cut_on, _names(job for job, _ in refused), first.reason)


def merged(pieces: Iterable[Piece]) -> list[Piece]:
    """One line a blank, its counts added."""
    by_id: dict[str, Piece] = {}
    for piece in pieces:
        known = by_id.get(blank_id(piece))
        by_id[blank_id(piece)] = replace(known, count=known.count + piece.count) if known else piece
    return list(by_id.values())
