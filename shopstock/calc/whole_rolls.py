"""When to order how many whole rolls or packs from one supplier, so that freight, goods and stock kept cost least.

An integer program over periods finds the cheapest; it is given a time limit and says whether its answer is proved.
Without an answer in time each material is ordered lot for lot, and the plan says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

EXACT, NOT_PROVED, LOT_FOR_LOT = "exact", "best found in time, not proved cheapest", "lot for lot"
MOST_PERIODS, MOST_PACKS = 60, 500


class WholeRollError(ValueError):
    """A material that cannot be ordered: no length, a cost below 0, needs that do not match the periods."""


@dataclass(frozen=True)
class Break:
    """From this number of packs in one order on, each pack costs this much."""

    least_packs: int
    price: Decimal


@dataclass(frozen=True)
class Material:
    """What one material needs in each period, in one unit, and how it is sold.

    ``pack`` is the content of a roll or pack; ``prices`` start at one pack; ``line_cost`` is money for a line of an
    order; ``holding`` money for a unit kept over a period; ``lead_periods`` from order to receipt; ``life_periods`` how
    long it lasts once it is here, None for ever.
    """

    name: str
    needed: tuple[Decimal, ...]
    on_hand: Decimal
    pack: Decimal
    arriving: tuple[Decimal, ...] = ()
    safety: Decimal = Decimal(0)
    lead_periods: int = 0
    prices: tuple[Break, ...] = (Break(1, Decimal(0)),)
    line_cost: Decimal = Decimal(0)
    holding: Decimal = Decimal(0)
    life_periods: int | None = None

    @property
    def arrivals(self) -> list[Decimal]:
        return [*self.arriving, *[Decimal(0)] * (len(self.needed) - len(self.arriving))]

    def price_of(self, packs: int) -> Decimal:
        """Money for one order of so many packs."""
        return packs * next((step.price for step in reversed(self.prices) if step.least_packs <= packs), Decimal(0))

    def stock(self, packs: Sequence[int]) -> list[Decimal]:
        """At the end of each period, below 0 while it is short."""
        left, rows = self.on_hand, []
        for need, comes, bought in zip(self.needed, self.arrivals, packs, strict=True):
            left += comes + bought * self.pack - need
            rows.append(left)
        return rows

    def most_by(self, period: int) -> int:
        """The most packs that may have come by a period if all is to be used before it dies, whole packs at least."""
        if self.life_periods is None:
            return MOST_PACKS
        until = min(len(self.needed), period + 1 + self.life_periods)
        wanted = sum(self.needed[:until], Decimal(0)) + self.safety - self.on_hand - sum(self.arrivals[:until])
        return max(0, ceil(wanted / self.pack))


@dataclass(frozen=True)
class OrderPlan:
    """Packs of each material to receive in each period, the money in all, and how it was found."""

    packs: tuple[tuple[int, ...], ...]
    cost: Decimal
    method: str

    @property
    def deliveries(self) -> int:
        return sum(any(row[period] for row in self.packs) for period in range(len(self.packs[0])))


def cost_of(materials: Sequence[Material], packs: Sequence[Sequence[int]], freight: Decimal) -> Decimal:
    """Money for these packs: freight for each period with an order, its lines, the goods, and stock kept.

    Raises WholeRollError. Worked: 3 rolls of 50 m in week 5, freight 40, 0.12 for a metre and week → 91.24.
    """
    cost = freight * sum(any(row[period] for row in packs) for period in range(len(materials[0].needed)))
    for material, row in zip(materials, packs, strict=True):
        cost += sum((material.line_cost + material.price_of(count) for count in row if count), Decimal(0))
        cost += material.holding * sum((left for left in material.stock(row) if left > 0), Decimal(0))
    return cost


def lot_for_lot(materials: Sequence[Material], freight: Decimal) -> OrderPlan:
    """Each need ordered on its own, in whole packs, no earlier than it can come.

    Raises WholeRollError. Source: time-phased netting. Worked: the eight weeks of the netting example → 147.24.
    """
    _check(materials, freight)
    packs = tuple(tuple(_as_needed(material)) for material in materials)
    return OrderPlan(packs, cost_of(materials, packs, freight), LOT_FOR_LOT)


def _as_needed(material: Material) -> list[int]:
    left, row = material.on_hand, []
    for period, (need, comes) in enumerate(zip(material.needed, material.arrivals, strict=True)):
        left += comes - need
        count = max(0, ceil((material.safety - left) / material.pack)) if period >= material.lead_periods else 0
        row.append(count)
        left += count * material.pack
    return row


def cheapest_orders(materials: Sequence[Material], freight: Decimal, *, seconds: float = 2.0) -> OrderPlan:
    """The cheapest whole packs for all materials of one supplier together.

    ``freight`` is money for a delivery, shared by all that come with it; ``seconds`` limits the search. What is short
    before an order can come stays short; from then on stock is never below ``safety``. Raises WholeRollError. Source:
    integer program, min Σ freight·y + lines + goods + h·I. Worked: the netting example, 40 and 0.12 → one order of
    three rolls, 91.24.
    """
    plain = lot_for_lot(materials, freight)
    if not any(any(row) for row in plain.packs):
        return OrderPlan(plain.packs, plain.cost, EXACT)
    found, proved = _Program(materials, freight).solve(seconds)
    if found is None:
        return plain
    cost = cost_of(materials, found, freight)
    if cost > plain.cost and _keeps(materials, plain.packs):
        return plain
    return OrderPlan(found, cost, EXACT if proved else NOT_PROVED)


def _keeps(materials: Sequence[Material], packs: Sequence[Sequence[int]]) -> bool:
    """Whether no order brings more than may be used before it dies."""
    return all(
        sum(row[: period + 1]) <= material.most_by(period)
        for material, row in zip(materials, packs, strict=True)
        for period in range(len(row))
    )


class _Program:
    """The integer program, built once."""

    def __init__(self, materials: Sequence[Material], freight: Decimal):
        import highspy  # the solver takes a moment to load: only when something must be ordered

        self.highspy, self.materials = highspy, materials
        self.solver = highspy.Highs()
        self.solver.setOptionValue("output_flag", False)
        self.solver.setOptionValue("mip_rel_gap", 0.0)
        periods = len(materials[0].needed)
        self.delivery = [self.solver.addBinary(obj=float(freight)) for _ in range(periods)]
        self.packs = [self._add(material) for material in materials]

    def _add(self, material: Material) -> list:
        """Variables and rows of one material; returns packs by period."""
        solver, rows = self.solver, []
        most = self._most(material)
        left = float(material.on_hand)
        for period, need in enumerate(material.needed):
            may_come = period >= material.lead_periods
            count = self._ordered(material, period, most if may_come else 0)
            rows.append(count)
            left += float(material.arrivals[period] - need)
            bought = solver.qsum(rows) * float(material.pack)
            if may_come:
                solver.addConstr(bought >= float(material.safety) - left)
            kept = solver.addVariable(lb=0, obj=float(material.holding))
            solver.addConstr(kept - bought >= left)
            if material.life_periods is not None:
                solver.addConstr(
                    solver.qsum(rows) <= max(material.most_by(period), self._unavoidable(material, period))
                )
        return rows

    def _unavoidable(self, material: Material, period: int) -> int:
        """What must have come by now, whatever its life."""
        return sum(_as_needed(material)[: period + 1])

    def _most(self, material: Material) -> int:
        wanted = sum(material.needed, Decimal(0)) + material.safety - min(material.on_hand, Decimal(0))
        bulk = max((step.least_packs for step in material.prices), default=1)
        return min(MOST_PACKS, max(ceil(wanted / material.pack), bulk) + 1)

    def _ordered(self, material: Material, period: int, most: int):
        """Packs received in one period, priced by the break they reach, charged a line and a share in the delivery."""
        solver, counts, chosen = self.solver, [], []
        steps = material.prices
        for number, step in enumerate(steps):
            ceiling = min(most, steps[number + 1].least_packs - 1) if number + 1 < len(steps) else most
            count = solver.addIntegral(lb=0, ub=max(0, ceiling), obj=float(step.price))
            taken = solver.addBinary(obj=float(material.line_cost))
            solver.addConstr(count <= max(0, ceiling) * taken)
            solver.addConstr(count >= step.least_packs * taken)
            counts.append(count)
            chosen.append(taken)
        solver.addConstr(solver.qsum(chosen) <= self.delivery[period])
        return solver.qsum(counts)

    def solve(self, seconds: float) -> tuple[tuple[tuple[int, ...], ...] | None, bool]:
        self.solver.setOptionValue("time_limit", float(seconds))
        self.solver.minimize()
        status, info = self.solver.getModelStatus(), self.solver.getInfo()
        if info.primal_solution_status != self.highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, False
        found = tuple(tuple(round(self.solver.val(count)) for count in row) for row in self.packs)
        return found, status == self.highspy.HighsModelStatus.kOptimal


def _check(materials: Sequence[Material], freight: Decimal) -> None:
    periods = {len(material.needed) for material in materials}
    if not materials or len(periods) != 1 or not 0 < max(periods) <= MOST_PERIODS:
        raise WholeRollError(f"Give at least one material, each with needs for the same 1 to {MOST_PERIODS} periods.")
    for material in materials:
        _check_material(material)
    if freight < 0:
        raise WholeRollError("Freight cannot be below 0.")


def _check_material(material: Material) -> None:
    if material.pack <= 0:
        raise WholeRollError(
            f"{material.name}: a roll or pack holds more than {material.pack}: give what it is sold in."
        )
    if material.lead_periods < 0:
        raise WholeRollError(f"{material.name}: a lead time cannot be negative.")
    figures = (*material.needed, *material.arriving, material.safety, material.line_cost, material.holding)
    if min(figures) < 0 or any(step.price < 0 for step in material.prices):
        raise WholeRollError(f"{material.name}: needs, arrivals and costs cannot be below 0.")
    if len(material.arriving) > len(material.needed):
        raise WholeRollError(f"{material.name}: more arrivals than periods.")
    marks = [step.least_packs for step in material.prices]
    if not marks or marks[0] != 1 or sorted(set(marks)) != marks:
        raise WholeRollError(f"{material.name}: prices start at one pack and each break is higher than the last.")
