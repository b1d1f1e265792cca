"""The lay-ups of several jobs, asked for one reinforcement and one width of panels at a time."""

import datetime
from collections.abc import Sequence

from shopstock.arrivals import Arrival
from shopstock.models import Reinforcement, Shop

from .free_cloth import FreeCloth
from .pieces import LayUp
from .planning import reinforcements_of
from .racks import Racks
from .shortages import ClothNeed, all_served
from .work import Work


class Asked:
    """What these jobs, in this order, want; each lay-up is worked out once for a set of widths."""

    def __init__(self, work: Sequence[Work], coming: Sequence[Arrival], on: datetime.date, shop: Shop):
        self.work, self.coming, self.on, self.shop = work, coming, on, shop
        self.kinds: dict[int, Reinforcement] = reinforcements_of(item.job for item in work)
        self.widths: dict[int, int] = {}
        self.lay_ups: dict[tuple, LayUp] = {}

    def racks(self, pk: int, cloth: Sequence[FreeCloth]) -> Racks:
        return Racks(self.kinds[pk], cloth, self.shop, [roll for roll in self.coming if roll.reinforcement_id == pk])

    def choose_widths(self, cloth: dict[int, list[FreeCloth]]) -> None:
        """The widest that each reinforcement is there in; a ply's seams follow those of its neighbours."""
        self.widths = {pk: self.racks(pk, cloth[pk]).widths_mm[0] for pk in self.kinds}

    def not_served(self, cloth: dict[int, list[FreeCloth]]) -> list[int]:
        """Reinforcements of which this cloth does not serve every job by first fit, whatever the width of panels."""
        self.choose_widths(cloth)
        racks = {pk: self.racks(pk, cloth[pk]) for pk in self.kinds}
        return [
            pk
            for pk, rack in racks.items()
            if not any(all_served(rack, self.wanted(pk, width)) for width in rack.widths_mm)
        ]

    def wanted(self, pk: int, width_mm: int) -> list[ClothNeed]:
        """What each job wants of one reinforcement when its panels are made for a width."""
        return [
            ClothNeed(item.job, self.lay_up(item, pk, width_mm), max(item.job.cut_on, self.on))
            for item in self.work
            if pk in item.kinds
        ]

    def lay_up(self, item: Work, pk: int, width_mm: int) -> LayUp:
        widths = {kind: self.widths[kind] for kind in item.kinds} | {pk: width_mm}
        name = (item.job.pk, *sorted(widths.items()))
        if name not in self.lay_ups:
            self.lay_ups[name] = item.wanted(widths)
        return self.lay_ups[name].of(pk)
