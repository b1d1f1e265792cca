"""What jobs want of the storeroom: as it stands now, or as it would be with another job."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from . import demand
from .demand import ClothShortage, ClothUse, QuotedCuts, ResinNeed


@dataclass(frozen=True)
class Wanted:
    """What jobs want of the storeroom: as it stands now, or as it would be with another job.

    Without `quoted_cuts` quoted jobs are counted by the length of their cloth.
    """

    shortages: Sequence[ClothShortage]
    uses: Sequence[ClothUse]
    resin: Sequence[ResinNeed]
    quoted_resin: Sequence[ResinNeed]
    quoted_cuts: Sequence[QuotedCuts] = ()

    @classmethod
    def now(cls, on: datetime.date) -> "Wanted":
        shortages = demand.cloth_shortages(on)
        uses = demand.cloth_uses(on) if shortages or demand.quoted_cloth(on) else []
        return cls(shortages, uses, demand.resin_needs(on), demand.quoted_resin(on), demand.quoted_cuts(on))
