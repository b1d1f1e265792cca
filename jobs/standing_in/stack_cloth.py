"""The cloth of one stack that is looked at: whether it may be laid now, what it takes and what it costs."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.lay_up_text import LaidFabric
from shopstock.models import Shop

from .racks import OnRacks, Racks, cost_of
from .target import Target


@dataclass(frozen=True)
class ClothOfStack:
    """What a stack that is looked at takes of the racks, and what it costs over what is specified; or why it cannot."""

    on_racks: OnRacks
    cost_ratio: float | None

    @property
    def why_not(self) -> str:
        return self.on_racks.why_not

    @property
    def figures(self) -> dict[str, float]:
        """Of a stack that can be laid: m² cut off, waste in per cent of that, and cost where prices are known."""
        if self.why_not:
            return {}
        known = {"waste_percent": round(self.on_racks.waste_percent, 1), "taken_m2": round(self.on_racks.taken_m2, 2)}
        return known if self.cost_ratio is None else known | {"cost": self.cost_ratio}


def cloth_of_stack(target: Target, plies: Sequence[LaidFabric], shop: Shop, at: datetime.datetime) -> ClothOfStack:
    """The gates and the cloth of one stack as the racks are now."""
    racks = Racks(target, shop, at)
    for fabric in dict.fromkeys(ply.fabric for ply in plies):
        reason = racks.gate(fabric)
        if reason:
            return ClothOfStack(OnRacks(False, f"{fabric}: {reason}"), None)
    taken = [racks.taken(ply.fabric, ply.direction) for ply in plies]
    refused = next((one for one in taken if one.refusal), None)
    if refused is not None:
        return ClothOfStack(OnRacks(False, f"{refused.fabric}: {refused.refusal}"), None)
    return ClothOfStack(racks.check(plies), cost_ratio(cost_of(taken), racks.specified_cost))


def cost_ratio(cost: Decimal | None, specified: Decimal | None) -> float | None:
    return float(cost / specified) if cost is not None and specified else None
