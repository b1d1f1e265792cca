"""A job that is only imagined, put on one day or another: what it takes, what it lacks, what cannot be here in time."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from jobs import demand as jobs_demand
from jobs.asking import Asked
from jobs.imagined import on_day, resin_for, work_with
from jobs.models import Job
from jobs.pieces import LayUp
from jobs.planning import reinforcements_of
from jobs.racks import ALL_ROLLS, cloth_on_racks
from jobs.uses import first_fit_shortages, planned_uses
from jobs.work import work_to_do
from shopstock.arrivals import cloth_on_its_way, resin_on_its_way
from shopstock.calc.issue_order import issue
from shopstock.demand import ClothUse, ResinNeed
from shopstock.models import Chemical, Reinforcement, Shop
from shopstock.to_order_line import soonest_of
from shopstock.to_order_resin import by_product, resin_stock
from shopstock.wanted import Wanted

MOST_DAYS_TRIED = 60  # of those on which other jobs are cut


class Trial:
    """Cloth is counted by first fit, before and with the job alike, so that the difference is the job's.

    The planner is not asked: it might find that other jobs need less, which this one is not to be thanked for.
    """

    def __init__(self, job: Job, on: datetime.date, shop: Shop):
        self.job, self.on, self.shop = job, on, shop
        self.kinds = reinforcements_of([job])
        self.work = [item for item in work_to_do() if item.kinds & set(self.kinds)]
        self.coming = cloth_on_its_way(on)
        kinds = reinforcements_of([job, *(item.job for item in self.work)])
        self.cloth = cloth_on_racks(list(kinds), shop, ALL_ROLLS, on)
        self.lay_ups: dict[tuple, LayUp] = {}
        self.all_uses, self.needs = jobs_demand.cloth_uses(on), jobs_demand.resin_needs(on)
        self.resin = resin_for(job)
        products = {need.chemical_id for need in self.resin}
        self.products = Chemical.objects.select_related("supplier").in_bulk(products)
        self.stock = resin_stock(products, on)

    def now(self) -> Wanted:
        """What jobs want of the storeroom without this one."""
        return self._wanted(self.all_uses, self.needs)

    def then(self) -> Wanted:
        """The same with it on its day."""
        others = [use for use in self.all_uses if not self._is_tried(use)]
        return self._wanted([*others, *self.uses], self._needs_on(self.job.cut_on))

    def _wanted(self, uses: Sequence[ClothUse], needs: Sequence[ResinNeed]) -> Wanted:
        return Wanted(first_fit_shortages(uses), uses, needs, jobs_demand.quoted_resin(self.on))

    def _is_tried(self, use: ClothUse) -> bool:
        return use.reinforcement_id in self.kinds and not use.is_quoted and not use.set_aside

    @cached_property
    def uses(self) -> list[ClothUse]:
        """What jobs take of its reinforcements when it is cut on its day."""
        return [use for kind in self.kinds for use in self._uses_of(kind, self._asked_on(self.job.cut_on))]

    def _asked_on(self, day: datetime.date) -> Asked:
        asked = Asked(work_with(on_day(self.job, day), self.work), self.coming, self.on, self.shop)
        asked.lay_ups = self.lay_ups  # what a job wants is the same on every day
        return asked

    def _uses_of(self, kind: int, asked: Asked) -> list[ClothUse]:
        return planned_uses(asked, [kind], self.cloth)

    def _needs_on(self, day: datetime.date) -> list[ResinNeed]:
        own = (replace(need, needed_on=day) for need in self.resin)
        return sorted([*self.needs, *own], key=lambda need: need.needed_on)

    def soonest(self, material: Reinforcement | Chemical) -> datetime.date | None:
        return soonest_of(material, self.on)

    def late_on(self, day: datetime.date) -> Iterator[Reinforcement | Chemical]:
        """What would be short too soon to be bought, of this job or another, if it were cut on this day."""
        asked = self._asked_on(day)
        for pk, kind in self.kinds.items():
            late = self._late_cloth(kind, self.uses if day == self.job.cut_on else self._uses_of(pk, asked))
            if any(more > had for job in late for more, had in zip(late[job], self._late_before(pk, job), strict=True)):
                yield kind
        needs = by_product(self._needs_on(day), self.on)
        yield from (
            product
            for pk, product in self.products.items()
            if self._late_g(product, needs.get(pk, [])) > self._late_g_before[pk]
        )

    def _late_cloth(self, kind: Reinforcement, uses: Iterable[ClothUse]) -> dict[int, tuple[int, int]]:
        """By job, mm that cannot be bought in time and pieces that no roll gives."""
        soonest = self.soonest(kind)
        return {
            use.job_pk: (use.new_mm if soonest is None or use.needed_on < soonest else 0, use.missing)
            for use in uses
            if use.reinforcement_id == kind.pk
        }

    def _late_before(self, kind: int, job: int) -> tuple[int, int]:
        return self._late_cloth_before[kind].get(job, (0, 0))

    @cached_property
    def _late_cloth_before(self) -> dict[int, dict[int, tuple[int, int]]]:
        before = [use for use in self.all_uses if self._is_tried(use)]
        return {pk: self._late_cloth(kind, before) for pk, kind in self.kinds.items()}

    @cached_property
    def _late_g_before(self) -> dict[int, int]:
        needs = by_product(self.needs, self.on)
        return {pk: self._late_g(product, needs.get(pk, [])) for pk, product in self.products.items()}

    def _late_g(self, product: Chemical, needs: Sequence) -> int:
        soonest = self.soonest(product)
        short = issue(needs, self.stock[product.pk]).short
        return sum(s.mass_g for s in short if soonest is None or s.need.needed_on < soonest)

    def days(self) -> list[datetime.date]:
        """Days on which something may change for the better: what comes, also if ordered today, or a job is cut."""
        comes = [roll.expected_on for roll in self.coming if roll.reinforcement_id in self.kinds]
        comes += [packs.expected_on for packs in resin_on_its_way(self.on) if packs.chemical_id in self.products]
        ordered = [self.soonest(material) for material in [*self.kinds.values(), *self.products.values()]]
        comes += [day for day in ordered if day is not None]
        cut = [item.job.cut_on for item in self.work]
        cut += [need.needed_on for need in self.needs if need.chemical_id in self.products]
        behind = sorted({day for day in cut if day > self.on})[:MOST_DAYS_TRIED]
        return sorted({self.on, *comes, *behind})

    def earliest(self) -> tuple[datetime.date | None, str]:
        """The first day for which nothing is short that could not be bought in time; or none, and why."""
        days = self.days()
        for day in days:
            if next(self.late_on(day), None) is None:
                return day, ""
        return None, ". ".join(self._why_never(material) for material in self.late_on(days[-1]))

    def _why_never(self, material: Reinforcement | Chemical) -> str:
        if self.soonest(material) is None:
            return f"{material} is short, and nobody said how long it takes to come: enter its supplier or lead time"
        return f"New rolls of {material} as sold do not give every piece"
