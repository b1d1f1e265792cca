"""What taking a job that is only imagined would mean: what is short, what it costs, and when it could be cut."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from jobs.asking import Asked
from jobs.imagined import NO_ROW, imagine, resin_for, wanted_with, work_with
from jobs.models import Job
from jobs.planning import reinforcements_of
from jobs.uses import MOST_NEW, planned_uses
from jobs.work import Work, work_to_do
from shopstock.arrivals import cloth_on_its_way, resin_on_its_way
from shopstock.buying import Buying, buying_of
from shopstock.calc.issue_order import issue
from shopstock.demand import ClothUse
from shopstock.models import Chemical, Reinforcement, Shop, Supplier
from shopstock.sizes_sold import currency_of
from shopstock.to_order import order_lines
from shopstock.to_order_line import OrderLine, soonest_of
from shopstock.to_order_resin import by_product, resin_stock
from shopstock.wanted import Wanted

MOST_DAYS_TRIED = 16


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
class MoreToBuy:
    """Rolls or packs that the order list would hold beyond what it holds today."""

    line: OrderLine
    packs: int

    @property
    def words(self) -> str:
        return f"{self.packs} {self.line.pack_name}{'' if self.packs == 1 else 's'} of {self.line.amount}"


@dataclass(frozen=True)
class MoreFrom:
    """What one supplier would get more; `cost` is None when a price, a pack or the supplier is not known."""

    supplier: Supplier | None
    lines: Sequence[MoreToBuy]
    currency: str
    cost: Decimal | None
    method: str = ""

    @property
    def proved(self) -> bool:
        return not self.method


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
    """`like` has its lay-up loaded."""
    job = imagine(like, times=times, cut_on=cut_on, name=f"{times} × {like}")
    now, then = Wanted.now(on), wanted_with(job, on)
    trial = _Trial(like, times, on, shop)
    late = trial.late_for(cut_on)
    earliest_on, no_day = trial.earliest()
    return Answer(
        job,
        [*_cloth_rows(job, trial), *_resin_rows(job, then, on)],
        _more(order_lines(on, now), order_lines(on, then), on, shop),
        _stopped(now, then),
        late,
        earliest_on,
        no_day,
    )


def _cloth_rows(job: Job, trial: "_Trial") -> Iterable[Row]:
    uses = {use.reinforcement_id: use for use in trial.uses(job) if use.job_pk == NO_ROW}
    for pk, kind in reinforcements_of([job]).items():
        use = uses.get(pk) or ClothUse(pk, job.cut_on, str(job), NO_ROW)
        yield Row(kind, use.length_mm, use.new_mm, _no_place(use.missing))


def _no_place(pieces: int) -> str:
    if not pieces:
        return ""
    find = "1 piece finds" if pieces == 1 else f"{pieces} pieces find"
    return f"{find} no place on {MOST_NEW} new rolls either: allow a seam, choose another fabric or take fewer"


def _resin_rows(job: Job, then: Wanted, on: datetime.date) -> Iterable[Row]:
    wanted: dict[int, int] = {}
    for need in resin_for(job):
        wanted[need.chemical_id] = wanted.get(need.chemical_id, 0) + need.mass_g
    needs, stock = by_product(then.resin, on), resin_stock(wanted, on)
    products = Chemical.objects.in_bulk(wanted)
    for pk, mass_g in wanted.items():
        short = sum(s.mass_g for s in issue(needs[pk], stock[pk]).short if s.need.purpose == str(job))
        yield Row(products[pk], mass_g, short)


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


def _more(before: Sequence[OrderLine], after: Sequence[OrderLine], on: datetime.date, shop: Shop) -> list[MoreFrom]:
    """By supplier, what is to be bought beyond today's list, and how much more the cheapest way to buy all costs."""
    had: dict = {}
    for line in before:
        had[line.material] = had.get(line.material, 0) + (line.packs or 0)
    more: dict[Supplier | None, list[MoreToBuy]] = {}
    for material in dict.fromkeys(line.material for line in after):
        lines = [line for line in after if line.material == material]
        packs = sum(line.packs or 0 for line in lines) - had.get(material, 0)
        if packs > 0:
            more.setdefault(lines[0].supplier, []).append(MoreToBuy(lines[-1], packs))
    return [_more_from(supplier, lines, before, after, on, shop) for supplier, lines in more.items()]


def _more_from(
    supplier: Supplier | None,
    lines: Sequence[MoreToBuy],
    before: Sequence[OrderLine],
    after: Sequence[OrderLine],
    on: datetime.date,
    shop: Shop,
) -> MoreFrom:
    currency = currency_of(supplier, shop)
    found = MoreFrom(supplier, lines, currency, None)
    if supplier is None or any(more.line.each is None for more in lines):
        return found
    first, then = (_buying(supplier, of, on, shop) for of in (before, after))
    if then is None:
        return found
    doubt = next((buying.method for buying in (first, then) if buying is not None and not buying.proved), "")
    return replace(found, cost=then.cost - (first.cost if first else Decimal(0)), method=doubt)


def _buying(supplier: Supplier, lines: Sequence[OrderLine], on: datetime.date, shop: Shop) -> Buying | None:
    return buying_of(supplier, [line for line in lines if line.supplier == supplier], on, shop)


class _Trial:
    """The job put on one day after the other until nothing is short that could not be bought in time."""

    def __init__(self, like: Job, times: int, on: datetime.date, shop: Shop):
        self.like, self.times, self.on, self.shop = like, times, on, shop
        self.kinds = reinforcements_of([like])
        work = work_to_do()
        self.work = [item for item in work if item.kinds & set(self.kinds)]
        self.coming = cloth_on_its_way(on)
        self.needs = Wanted.now(on).resin
        product_ids = {need.chemical_id for need in resin_for(self._job(on))}
        self.products = Chemical.objects.select_related("supplier").in_bulk(product_ids)
        self.stock = resin_stock(self.products, on)
        self.before = self._late_cloth(
            planned_uses(Asked(self.work, self.coming, on, shop), self.kinds) if self.work else []
        )
        self.before_resin = self._late_resin(self.needs)

    def _job(self, day: datetime.date) -> Job:
        return imagine(self.like, times=self.times, cut_on=day, name=f"{self.times} × {self.like}")

    def uses(self, job: Job) -> list[ClothUse]:
        work: list[Work] = work_with(job, self.work)
        return planned_uses(Asked(work, self.coming, self.on, self.shop), self.kinds)

    def soonest(self, material: Reinforcement | Chemical) -> datetime.date | None:
        return soonest_of(material, self.on)

    def _late_cloth(self, uses: Sequence[ClothUse]) -> dict[tuple[int, int], tuple[int, int]]:
        """By job and reinforcement, mm that cannot be bought in time and pieces that no roll gives."""
        found = {}
        for use in uses:
            soonest = self.soonest(self.kinds[use.reinforcement_id])
            late = soonest is None or use.needed_on < soonest
            found[use.job_pk, use.reinforcement_id] = (use.new_mm if late else 0, use.missing)
        return found

    def _late_resin(self, needs) -> dict[int, int]:
        found = {}
        by_pk = by_product((need for need in needs if need.chemical_id in self.products), self.on)
        for pk, wanted in by_pk.items():
            soonest = self.soonest(self.products[pk])
            short = issue(wanted, self.stock[pk]).short
            found[pk] = sum(s.mass_g for s in short if soonest is None or s.need.needed_on < soonest)
        return found

    def late_for(self, day: datetime.date) -> list[str]:
        return list(map(str, self._late_materials(day)))

    def _late_materials(self, day: datetime.date) -> list[Reinforcement | Chemical]:
        """What would be short too soon to be bought if the job were cut on this day."""
        job = self._job(day)
        after = self._late_cloth(self.uses(job))
        cloth = {
            kind
            for (owner, kind), amounts in after.items()
            if any(x > y for x, y in zip(amounts, self.before.get((owner, kind), (0, 0)), strict=True))
        }
        resin = self._late_resin([*self.needs, *resin_for(job)])
        late = [product for pk, product in self.products.items() if resin.get(pk, 0) > self.before_resin.get(pk, 0)]
        return [*(self.kinds[pk] for pk in self.kinds if pk in cloth), *late]

    def days(self) -> list[datetime.date]:
        """Days on which something changes for the better: today, arrivals, and what is ordered today."""
        arrivals = [roll.expected_on for roll in self.coming if roll.reinforcement_id in self.kinds]
        arrivals += [packs.expected_on for packs in resin_on_its_way(self.on) if packs.chemical_id in self.products]
        ordered = [self.soonest(material) for material in [*self.kinds.values(), *self.products.values()]]
        return sorted({self.on, *arrivals, *(day for day in ordered if day is not None)})[:MOST_DAYS_TRIED]

    def earliest(self) -> tuple[datetime.date | None, str]:
        late: list[Reinforcement | Chemical] = []
        for day in self.days():
            late = self._late_materials(day)
            if not late:
                return day, ""
        return None, ". ".join(self._why_never(material) for material in late)

    def _why_never(self, material: Reinforcement | Chemical) -> str:
        if self.soonest(material) is None:
            return f"{material} is short, and nobody said how long it takes to come: enter its supplier or lead time"
        return f"New rolls of {material} as sold do not give every piece"
