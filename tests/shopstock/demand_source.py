"""Demand as the planner of jobs would register it, written by hand: the storeroom knows no jobs of its own."""

import datetime
from dataclasses import dataclass, field

import pytest

from shopstock import demand
from shopstock.demand import ClothShortage, ClothUse, LeastBlank, QuotedCuts, ResinNeed
from tests.factories import TODAY


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@dataclass
class WrittenDemand:
    shortages: list[ClothShortage] = field(default_factory=list)
    needs: list[ResinNeed] = field(default_factory=list)
    shortest_mm: dict[int, int] = field(default_factory=dict)
    narrowest_mm: dict[int, int] = field(default_factory=dict)
    uses: list[ClothUse] = field(default_factory=list)
    quoted: list[ResinNeed] = field(default_factory=list)
    cuts: list[QuotedCuts] = field(default_factory=list)

    def cloth_shortages(self, on):
        return self.shortages

    def resin_needs(self, on):
        return self.needs

    def cloth_uses(self, on):
        return self.uses

    def quoted_cloth(self, on):
        return [use for use in self.uses if use.is_quoted]

    def quoted_cuts(self, on):
        return self.cuts

    def quoted_resin(self, on):
        return self.quoted

    def try_sizes(self, reinforcement_id, sizes, on):
        return []

    def least_blanks(self):
        return {pk: LeastBlank(mm, self.narrowest_mm.get(pk, 0)) for pk, mm in self.shortest_mm.items()}

    def short_of(self, reinforcement, *, rolls=1, length_mm=41_000, needed_on=None, jobs=("Hull 7",)):
        self.shortages.append(
            ClothShortage(reinforcement.pk, 3, length_mm, rolls, needed_on or day(30), jobs, "no end is long enough")
        )

    def needs_resin(self, chemical, mass_g, number_of_days, job="Hull 7"):
        self.needs.append(ResinNeed(chemical.pk, mass_g, day(number_of_days), job))


@pytest.fixture
def planned(db, monkeypatch) -> WrittenDemand:
    written = WrittenDemand()
    monkeypatch.setattr(demand, "_sources", [written])
    return written
