"""What a mix is made of: the resin, and the hardener or catalyst that goes with it, for buying and for the store."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from django.db.models import Q, Sum

from shopstock.calc.dose import Band, catalyst_g, middle_percent
from shopstock.calc.mix_ratio import split_mix
from shopstock.models import Chemical, Container, DoseBand, Shop
from shopstock.models.roll import STILL_OPEN

from .models import Job, Mix, MixDraw

PLANNED_AT_C = 20.0  # common practice, no source: the temperature of a day to come is not known
Parts = list[tuple[Chemical, int]]


def seconds_for(product: Chemical) -> list[Chemical]:
    """Hardeners that belong to it, or the peroxides the shop knows."""
    if product.takes_catalyst:
        return list(Chemical.objects.filter(kind=Chemical.Kind.PEROXIDE))
    return list(product.hardeners.all())


def bands_of(product: Chemical) -> list[Band]:
    return [_band(row) for row in product.dose_bands.all()]


def _band(row: DoseBand) -> Band:
    return Band(*map(float, (row.from_c, row.below_c, row.min_percent, row.max_percent)))


@dataclass(frozen=True)
class Seconds:
    """Hardeners and catalysts of the shop, how much of each is there (g), and which one each job has had so far."""

    by_resin: dict[int, list[Chemical]]
    catalysts: list[Chemical]
    bands: dict[int, list[Band]]
    in_store_g: dict[int, int]
    used: dict[tuple[int, str], int]

    @classmethod
    def of_jobs(cls, jobs: Sequence[Job]) -> "Seconds":
        by_resin, catalysts = defaultdict(list), []
        peroxide = Chemical.Kind.PEROXIDE
        for product in Chemical.objects.filter(Q(kind=peroxide) | Q(mixes_with__isnull=False)):
            (catalysts if product.kind == peroxide else by_resin[product.mixes_with_id]).append(product)
        bands = defaultdict(list)
        for row in DoseBand.objects.all():
            bands[row.chemical_id].append(_band(row))
        there = Container.objects.filter(closed_on=STILL_OPEN).order_by().values_list("chemical_id")
        draws = MixDraw.objects.filter(mix__job__in=jobs).exclude(role=MixDraw.Role.RESIN).order_by("pk")
        rows = draws.values_list("mix__job_id", "mix__what", "movement__container__chemical_id")
        used = {(job, what): pk for job, what, pk in rows}
        return cls(by_resin, catalysts, bands, dict(there.annotate(Sum("mass_g"))), used)

    def second_of(self, job: Job, product: Chemical) -> Chemical | None:
        """The one its pots have had, else the one of which most is in the store, else the first by name."""
        choice = self.catalysts if product.takes_catalyst else self.by_resin.get(product.pk, [])
        what = Mix.What.GELCOAT if product.pk == job.gelcoat_id else Mix.What.RESIN
        used = next((item for item in choice if item.pk == self.used.get((job.pk, what))), None)
        return used or max(choice, key=lambda item: self.in_store_g.get(item.pk, 0), default=None)

    def in_parts(self, job: Job, mixes: Iterable[tuple[Chemical, int]], shop: Shop) -> Parts:
        """What each mix of (product, g) takes of which product, in g: hardener is part of the mix, catalyst on top.

        Catalyst by the middle of the data sheet's dose at the usual temperature; where the sheet's figures are not
        noted, the mix counts as resin alone.
        """
        found: dict[Chemical, int] = {}
        for product, mass_g in mixes:
            for part, part_g in self._split(product, mass_g, self.second_of(job, product), shop):
                found[part] = found.get(part, 0) + part_g
        return list(found.items())

    def _split(self, product: Chemical, mass_g: int, second: Chemical | None, shop: Shop) -> Parts:
        if second is None:
            return [(product, mass_g)]
        if product.takes_catalyst:
            percent = middle_percent(self.bands.get(product.pk, ()), max(PLANNED_AT_C, float(shop.laminating_min_c)))
            return [(product, mass_g)] + ([] if percent is None else [(second, ceil(catalyst_g(mass_g, percent)))])
        if second.parts_by_mass is None:
            return [(product, mass_g)]
        weighed = split_mix(mass_g, float(second.parts_by_mass))
        return [(product, ceil(weighed.resin_g)), (second, ceil(weighed.hardener_g))]
