"""What taking a job that is only imagined would mean: what is short, what it costs, and when it could be cut."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.imagined import NO_ROW, imagine
from jobs.models import Job
from shopstock.calc.issue_order import issue
from shopstock.demand import ClothUse
from shopstock.models import Chemical, Reinforcement, Shop
from shopstock.to_order import order_lines
from shopstock.to_order_resin import by_product
from shopstock.wanted import Wanted

from .more_to_buy import MoreFrom, more_to_buy
from .trial import Trial


@dataclass(frozen=True)
class Row:
    """One material of the job, amounts in mm or g: what it takes and what of that is short after all other jobs."""

    material: Reinforcement | Chemical
    takes: int
    short: int
    problem: str = ""

    @property
    def is_cloth(self) -> bool:
        return isinstance(self.material, Reinforcement)


@dataclass(frozen=True)
class Answer:
    """`late` are materials that cannot be here by the day asked for; without `earliest_on`, `no_day` says why."""

    job: Job
    rows: Sequence[Row]
    more: Sequence[MoreFrom]
    stopped: Sequence[str]
    late: Sequence[str]
    earliest_on: datetime.date | None
    no_day: str = ""

    @property
    def short(self) -> list[Row]:
        return [row for row in self.rows if row.short or row.problem]

    @property
    def can_be_kept(self) -> bool:
        return not self.late


def answer(like: Job, *, times: int, cut_on: datetime.date, on: datetime.date, shop: Shop) -> Answer:
    job = imagine(like, times=times, cut_on=cut_on, name=f"{times} × {like}")
    trial = Trial(job, on, shop)
    now, then = trial.now(), trial.then()
    late = [str(material) for material in trial.late_on(cut_on)]
    earliest_on, no_day = trial.earliest()
    return Answer(
        job,
        [*_cloth_rows(trial), *_resin_rows(trial, then)],
        more_to_buy(order_lines(on, now), order_lines(on, then), on, shop),
        _stopped(now, then),
        late,
        earliest_on,
        no_day,
    )


def _cloth_rows(trial: Trial) -> Iterable[Row]:
    job, uses = trial.job, {use.reinforcement_id: use for use in trial.uses if use.job_pk == NO_ROW}
    for pk, kind in trial.kinds.items():
        use = uses.get(pk) or ClothUse(pk, job.cut_on, str(job), NO_ROW)
        yield Row(kind, use.length_mm, use.new_mm, _no_place(use.missing))


def _no_place(pieces: int) -> str:
    if not pieces:
        return ""
    find = "1 piece finds" if pieces == 1 else f"{pieces} pieces find"
    return f"{find} no place on a new roll either: allow a seam or choose another fabric"


def _resin_rows(trial: Trial, then: Wanted) -> Iterable[Row]:
    wanted: dict[int, int] = {}
    for need in trial.resin:
        wanted[need.chemical_id] = wanted.get(need.chemical_id, 0) + need.mass_g
    needs = by_product(then.resin, trial.on)
    for pk, mass_g in wanted.items():
        short = issue(needs[pk], trial.stock[pk]).short
        yield Row(trial.products[pk], mass_g, sum(s.mass_g for s in short if s.need.purpose == str(trial.job)))


def _stopped(now: Wanted, then: Wanted) -> list[str]:
    """Jobs that have what they need today and would not any more."""

    def short_of(wanted: Wanted) -> dict[str, int]:
        lengths: dict[str, int] = {}
        for use in wanted.uses:
            if not use.is_quoted and use.job_pk != NO_ROW and (use.new_mm or use.missing):
                lengths[use.job] = lengths.get(use.job, 0) + use.new_mm + use.missing
        return lengths

    before = short_of(now)
    return [job for job, amount in short_of(then).items() if amount > before.get(job, 0)]
