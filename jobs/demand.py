"""What planned jobs need of the storeroom; registered with `shopstock.demand` when the program starts."""

import datetime
from collections.abc import Sequence

from django.core.cache import cache

from shopstock.arrivals import Arrival, cloth_on_its_way
from shopstock.demand import ClothShortage, ResinNeed
from shopstock.models import Reinforcement, Shop

from .fingerprint import fingerprint
from .pieces import LayUp, Piece, usable_width_mm
from .planning import reinforcements_of
from .racks import ALL_ROLLS, FEW_ROLLS, Racks, cloth_on_racks
from .resin_need import resin_of_job
from .shortages import Wanted, all_served, shortage
from .work import Work, jobs_to_do, work_to_do

REMEMBERED_SECONDS = 24 * 3600


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    """What the racks cannot give; remembered for as long as nothing that decides it changes."""
    coming = cloth_on_its_way(on)
    name = f"cloth-shortages-{fingerprint((on, coming))}"
    known = cache.get(name)
    if known is None:
        known = shortages_of(work_to_do(), coming, on)
        cache.set(name, known, REMEMBERED_SECONDS)
    return known


def shortages_of(work: Sequence[Work], coming: Sequence[Arrival], on: datetime.date) -> list[ClothShortage]:
    """What these jobs, in this order, find short on the racks and among what is on its way."""
    shop, kinds = Shop.current(), reinforcements_of(item.job for item in work)
    asked = _Asked(work, kinds, coming, on, shop)
    unsure = asked.not_served(cloth_on_racks(list(kinds), shop, FEW_ROLLS))
    more = cloth_on_racks(unsure, shop, ALL_ROLLS) if unsure else {}
    found = (asked.least_short(pk, more[pk]) for pk in unsure)
    return [short for short in found if short is not None]


class _Asked:
    """The question what is short, put to one reinforcement after the other."""

    def __init__(
        self,
        work: Sequence[Work],
        kinds: dict[int, Reinforcement],
        coming: Sequence[Arrival],
        on: datetime.date,
        shop: Shop,
    ):
        self.work, self.kinds, self.coming, self.on, self.shop = work, kinds, coming, on, shop
        self.widths: dict[int, int] = {}
        self.lay_ups: dict[tuple, LayUp] = {}

    def racks(self, pk: int, cloth) -> Racks:
        return Racks(self.kinds[pk], cloth, self.shop, [roll for roll in self.coming if roll.reinforcement_id == pk])

    def not_served(self, cloth) -> list[int]:
        """Reinforcements of which the longest rolls do not serve every job."""
        racks = {pk: self.racks(pk, cloth[pk]) for pk in self.kinds}
        self.widths = {pk: rack.widths_mm[0] for pk, rack in racks.items()}
        return [
            pk
            for pk, rack in racks.items()
            if not any(all_served(rack, self.wanted(pk, width)) for width in rack.widths_mm)
        ]

    def wanted(self, pk: int, width_mm: int) -> list[Wanted]:
        """What each job wants of one reinforcement when its panels are made for a width."""
        return [
            Wanted(item.job, self.lay_up(item, pk, width_mm), max(item.job.cut_on, self.on))
            for item in self.work
            if pk in item.kinds
        ]

    def lay_up(self, item: Work, pk: int, width_mm: int) -> LayUp:
        widths = {kind: self.widths[kind] for kind in item.kinds} | {pk: width_mm}
        name = (item.job.pk, *sorted(widths.items()))
        if name not in self.lay_ups:
            self.lay_ups[name] = item.wanted(widths)
        return self.lay_ups[name].of(pk)

    def least_short(self, pk: int, cloth) -> ClothShortage | None:
        """None when the panels of any width come out of what is free; otherwise what the widest are short of."""
        racks = self.racks(pk, cloth)
        ways = [self.wanted(pk, width) for width in racks.widths_mm]
        shortages = []
        for number, wanted in enumerate(ways):
            if wanted not in ways[:number]:
                shortages.append(shortage(racks, wanted))
                if shortages[-1] is None:
                    return None
        return shortages[0]


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
