"""Which jobs can still be cut when stock is short: served in turn, what each lacks, and who is served before it."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from shopstock import demand
from shopstock.arrivals import cloth_on_its_way
from shopstock.calc.issue_order import issue
from shopstock.demand import ClothUse
from shopstock.models import Chemical, Reinforcement, Shop
from shopstock.to_order_resin import planned_needs, resin_stock

from .asking import Asked
from .demand import shortages_of
from .models import Job
from .uses import planned_uses
from .work import Work, work_to_do


@dataclass(frozen=True)
class Lack:
    """A material that a job does not get, in mm or g; `pieces` are those that no new roll gives either."""

    material: Reinforcement | Chemical
    amount: int
    pieces: int = 0

    @property
    def is_cloth(self) -> bool:
        return isinstance(self.material, Reinforcement)


@dataclass
class Standing:
    """One job in its turn: what is set aside for it (mm), what it lacks, and jobs that could let it go before."""

    job: Job
    set_aside_mm: int = 0
    lacks: list[Lack] = field(default_factory=list)
    could_wait: list[Job] = field(default_factory=list)
    holds: list[Job] = field(default_factory=list)

    @property
    def can_be_cut(self) -> bool:
        return not self.lacks


def standings(on: datetime.date) -> list[Standing]:
    """Every planned job in the order in which it gets cloth.

    What a first fit lacks is lacking only where the planner does not find it either.
    """
    work = work_to_do()
    short = {(found.reinforcement_id, job) for found in demand.cloth_shortages(on) for job in found.for_jobs}
    uses = [use for use in demand.cloth_uses(on) if not use.is_quoted]
    rows = {item.job.pk: Standing(item.job) for item in work}
    kinds = Reinforcement.objects.in_bulk({use.reinforcement_id for use in uses})
    for use in uses:
        row = rows.get(use.job_pk)
        if row is None:
            continue
        row.set_aside_mm += use.length_mm if use.set_aside else 0
        if use.missing or use.new_mm and (use.reinforcement_id, use.job) in short:
            row.lacks.append(Lack(kinds[use.reinforcement_id], use.new_mm, use.missing))
    _note_who_is_before(list(rows.values()), uses)
    _note_resin(rows, on)
    return list(rows.values())


def _note_who_is_before(rows: Sequence[Standing], uses: Sequence[ClothUse]) -> None:
    """For each job that lacks cloth: jobs ahead that take the same off the racks, and those that hold it set aside."""
    free, held = _takers(uses, set_aside=False), _takers(uses, set_aside=True)
    for number, row in enumerate(rows):
        lacked = {lack.material.pk for lack in row.lacks}
        row.could_wait = [ahead.job for ahead in rows[:number] if free.get(ahead.job.pk, set()) & lacked]
        row.holds = [other.job for other in rows if other is not row and held.get(other.job.pk, set()) & lacked]


def _takers(uses: Sequence[ClothUse], *, set_aside: bool) -> dict[int, set[int]]:
    found: dict[int, set[int]] = {}
    for use in uses:
        if use.set_aside == set_aside and use.here_mm + use.coming_mm:
            found.setdefault(use.job_pk, set()).add(use.reinforcement_id)
    return found


def _note_resin(rows: dict[int, Standing], on: datetime.date) -> None:
    """Resin goes by the day alone, whatever was decided about cloth."""
    by_name = {str(row.job): row for row in rows.values()}
    needs = planned_needs(on)
    stock, products = resin_stock(needs, on), Chemical.objects.in_bulk(needs)
    for pk, wanted in needs.items():
        short: dict[str, int] = {}
        for item in issue(wanted, stock[pk]).short:
            short[item.need.purpose] = short.get(item.need.purpose, 0) + item.mass_g
        for name, mass_g in short.items():
            if name in by_name:
                by_name[name].lacks.append(Lack(products[pk], mass_g))


@dataclass(frozen=True)
class Ahead:
    """Jobs served before any of some others, and what they lack of some reinforcements, to see later if that got worse.

    `place` is the turn of every job.
    """

    work: Sequence[Work]
    kinds: frozenset[int]
    on: datetime.date
    lacked: dict[int, int]
    place: dict[int, int]

    @classmethod
    def of(cls, jobs: Sequence[Job], kinds: frozenset[int], on: datetime.date) -> "Ahead":
        own, work = {job.pk for job in jobs}, work_to_do()
        place = {item.job.pk: number for number, item in enumerate(work)}
        last = max((place[pk] for pk in own if pk in place), default=len(work))
        ahead = [item for item in work[:last] if item.kinds & kinds]
        others = [item for item in ahead if item.job.pk not in own]
        return cls(others, kinds, on, _lacking(ahead, kinds, on) if others else {}, place)

    def worse_off(self) -> list[Job]:
        """Jobs that lack more than before; where a first fit finds some, the planner is asked too."""
        lacking = _lacking(self.work, self.kinds, self.on)
        worse = {pk for pk, amount in lacking.items() if amount > self.lacked.get(pk, 0)}
        if not worse:
            return []
        if not shortages_of(self.work, cloth_on_its_way(self.on), self.on, self.kinds):
            return []
        return [item.job for item in self.work if item.job.pk in worse]

    def served_before(self, job: Job, others: Iterable[Job]) -> list[Job]:
        return [other for other in others if self.place[other.pk] < self.place.get(job.pk, len(self.place))]


def _lacking(work: Sequence[Work], kinds: frozenset[int], on: datetime.date) -> dict[int, int]:
    """By job, mm and pieces that a first fit does not find; nothing is asked where there is no job."""
    found: dict[int, int] = {}
    uses = planned_uses(Asked(work, cloth_on_its_way(on), on, Shop.current()), kinds) if work else []
    for use in uses:
        if use.new_mm + use.missing:
            found[use.job_pk] = found.get(use.job_pk, 0) + use.new_mm + use.missing
    return found
