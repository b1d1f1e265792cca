"""How much to keep when needs cannot be known: reorder point, one-time orders, order-up-to levels.

The normal distribution is poor for the lumpy needs of jobs: use it for steady consumables. Jobs in hand are netted,
quoted jobs have their own distribution (``quoted_jobs``).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, lgamma, log, sqrt
from statistics import NormalDist

STANDARD = NormalDist()
MOST_LEVEL = 10_000  # where a search for a level gives up


class DemandError(ValueError):
    """Figures from which no level can be worked out."""


@dataclass(frozen=True)
class Level:
    """A quantity and its expected cost (or profit) in money."""

    quantity: float
    expected: float


@dataclass(frozen=True)
class TwoLevels:
    """Order when stock falls to ``reorder``, up to or by ``order`` as the rule says; cost in money a period."""

    reorder: float
    order: float
    cost: float


def normal_loss(z: float) -> float:
    """Expected shortfall of a standard normal need beyond ``z`` standard deviations. Raises nothing.

    Source: G(z) = φ(z) − z·(1 − Φ(z)). Worked: 0 → 0.39894, 1 → 0.08332.
    """
    return STANDARD.pdf(z) - z * (1 - STANDARD.cdf(z))


def reorder_point(per_period: float, spread: float, lead_periods: float, lead_spread: float, service: float) -> float:
    """The stock at which to order so that a share ``service`` of cycles has enough; in the unit of the need.

    ``per_period`` and its standard deviation ``spread`` in the unit, lead time and its standard deviation in periods.
    Raises DemandError. Source: μL + z·√(Lσ² + μ²σ_L²). Worked: 12 ± 7 a week, 3 ± 0.8 weeks, 95 % → 61.44.
    """
    if min(per_period, spread, lead_periods, lead_spread) < 0 or not 0 < service < 1:
        raise DemandError("Needs and times cannot be below 0, and the share served lies between 0 and 1.")
    return per_period * lead_periods + STANDARD.inv_cdf(service) * lead_time_spread(
        per_period, spread, lead_periods, lead_spread
    )


def lead_time_spread(per_period: float, spread: float, lead_periods: float, lead_spread: float) -> float:
    """Standard deviation of the need over a lead time, in the unit of the need. Raises nothing.

    Source: √(Lσ² + μ²σ_L²). Worked: 12 ± 7 a week, 3 ± 0.8 weeks → 15.465.
    """
    return sqrt(lead_periods * spread**2 + per_period**2 * lead_spread**2)


def one_time_order(over: float, under: float, mean: float, spread: float) -> Level:
    """The quantity to have once, for a normal need: ``over`` and ``under`` are money for a unit too many or too few.

    Raises DemandError. Source: F(Q) = under/(over + under), cost (over + under)·σ·φ(z). Worked: 0.18, 0.70, 50 ± 8 →
    56.604, 1.9976.
    """
    _check_costs(over, under)
    if spread <= 0:
        raise DemandError("A spread of 0 is no doubt: order the need itself.")
    z = STANDARD.inv_cdf(under / (over + under))
    return Level(mean + z * spread, (over + under) * spread * STANDARD.pdf(z))


def one_time_order_for_profit(price: float, cost: float, salvage: float, mean: float, spread: float) -> Level:
    """The same from what a unit sells for, costs and is worth when left; the expected figure is the profit.

    Money for a unit, need in units. Raises DemandError. Source: over = cost − salvage, under = price − cost. Worked:
    1, 0.3, 0.12, 50 ± 8 → 56.604, profit 33.0024.
    """
    level = one_time_order(cost - salvage, price - cost, mean, spread)
    return Level(level.quantity, (price - cost) * mean - level.expected)


def one_time_order_of(chances: Mapping[int, float], over: float, under: float) -> Level:
    """The same for a need with a chance for each whole quantity; the smallest quantity that serves enough.

    ``over`` and ``under`` in money a unit. Raises DemandError. Worked: Poisson of mean 6, 1 and 4 → 8, 3.5701.
    """
    _check_costs(over, under)
    if not chances or abs(sum(chances.values()) - 1) > 1e-6 or min(chances.values()) < 0:
        raise DemandError("The chances of all quantities add up to 1.")
    so_far, level = 0.0, max(chances)
    for quantity in sorted(chances):
        so_far += chances[quantity]
        if so_far >= under / (over + under) - 1e-12:
            level = quantity
            break
    return Level(level, _mismatch(level, chances, over, under))


def poisson(mean: float) -> dict[int, float]:
    """Chance of each whole need of a Poisson distribution, up to where nothing is left. Raises DemandError.

    Source: e^−μ·μ^k/k!. Worked: mean 1 → 0.3679 for 0.
    """
    if mean <= 0:
        raise DemandError("A mean need is above 0.")
    most = int(mean + 12 * sqrt(mean) + 12)
    return {k: exp(k * log(mean) - mean - lgamma(k + 1)) for k in range(most + 1)}


def _mismatch(level: int, chances: Mapping[int, float], over: float, under: float) -> float:
    return sum(p * (over * (level - d) if d < level else under * (d - level)) for d, p in chances.items())


def order_up_to(chances: Mapping[int, float], holding: float, shortage: float, order_cost: float) -> TwoLevels:
    """The cheapest pair: when stock is at or below the first, order up to the second.

    ``holding`` and ``shortage`` in money for a unit and period, ``order_cost`` in money; lead time 0. Raises
    DemandError. Source: renewal cost of a pair, searched as by Zheng and Federgruen, Operations Research 39 (1991).
    Worked: Poisson of mean 6, 1, 4, 5 → 4, 10, 8.0341.
    """
    _check_costs(holding, shortage, order_cost)
    costs = _Costs(chances, holding, shortage)
    lowest = costs.lowest()
    reorder = lowest - 1
    while _pair_cost(costs, reorder, lowest, order_cost) > costs.at(reorder):
        reorder -= 1
    best = TwoLevels(reorder, lowest, _pair_cost(costs, reorder, lowest, order_cost))
    upper = lowest + 1
    while costs.at(upper) <= best.cost and upper < MOST_LEVEL:
        if _pair_cost(costs, int(best.reorder), upper, order_cost) < best.cost:
            reorder = int(best.reorder)
            while _pair_cost(costs, reorder, upper, order_cost) <= costs.at(reorder + 1) and reorder + 1 < lowest:
                reorder += 1
            best = TwoLevels(reorder, upper, _pair_cost(costs, reorder, upper, order_cost))
        upper += 1
    return best


class _Costs:
    """Expected cost of a period that starts with a level, each worked out once."""

    def __init__(self, chances: Mapping[int, float], holding: float, shortage: float):
        self.chances, self.holding, self.shortage = chances, holding, shortage
        self.known: dict[int, float] = {}
        self.visits = [1 / (1 - chances.get(0, 0.0))]

    def at(self, level: int) -> float:
        if level not in self.known:
            self.known[level] = _mismatch(level, self.chances, self.holding, self.shortage)
        return self.known[level]

    def lowest(self) -> int:
        level = 0
        while self.at(level + 1) <= self.at(level) and level < MOST_LEVEL:
            level += 1
        return level

    def visited(self, below: int) -> float:
        """Mean number of periods that start `below` units under the upper level, between two orders."""
        while len(self.visits) <= below:
            j = len(self.visits)
            flow = sum(self.chances.get(j - k, 0.0) * self.visits[k] for k in range(j))
            self.visits.append(flow / (1 - self.chances.get(0, 0.0)))
        return self.visits[below]


def _pair_cost(costs: _Costs, reorder: int, upper: int, order_cost: float) -> float:
    span = range(upper - reorder)
    stay = sum(costs.visited(below) for below in span)
    return (order_cost + sum(costs.visited(below) * costs.at(upper - below) for below in span)) / stay


def order_by_lots(
    holding: float, shortage: float, order_cost: float, per_period: float, lead_periods: float
) -> TwoLevels:
    """The cheapest pair for single units asked for at random: at the first, order a lot of the second.

    ``holding`` and ``shortage`` in money for a unit and period, ``order_cost`` in money, ``per_period`` the mean need,
    ``lead_periods`` the lead time. Raises DemandError. Source: Federgruen and Zheng, Operations Research 40 (1992).
    Worked: 20, 150, 100, 1.5, 2 → 3, 5, 107.9236.
    """
    _check_costs(holding, shortage, order_cost)
    costs = _Costs(poisson(per_period * lead_periods), holding, shortage)
    low = high = costs.lowest()
    total = order_cost * per_period + costs.at(low)
    while True:
        below, above = costs.at(low - 1), costs.at(high + 1)
        if min(below, above) >= total / (high - low + 1):
            return TwoLevels(low - 1, high - low + 1, total / (high - low + 1))
        total += min(below, above)
        low, high = (low - 1, high) if below <= above else (low, high + 1)


def steady_with_safety(
    holding: float, shortage: float, order_cost: float, per_year: float, spread: float, lead_years: float
) -> TwoLevels:
    """Reorder point with safety stock and the economic quantity, for a steady need with a normal spread.

    ``spread`` is the standard deviation over a year; money for a unit and year. Raises DemandError. The cost is of
    orders and stock kept without the safety stock. Source: Snyder and Shen, Fundamentals of Supply Chain Theory, 5.3.
    Worked: 0.225, 7.5, 8, 1300 ± 150, 1/12 → reorder at 190.337, 304.047 at a time.
    """
    _check_costs(holding, shortage, order_cost, per_year)
    z = STANDARD.inv_cdf(shortage / (shortage + holding))
    reorder = per_year * lead_years + z * spread * sqrt(lead_years)
    return TwoLevels(reorder, sqrt(2 * order_cost * per_year / holding), sqrt(2 * order_cost * per_year * holding))


def _check_costs(*figures: float) -> None:
    if any(figure <= 0 for figure in figures):
        raise DemandError("Costs and needs must all be above 0.")
