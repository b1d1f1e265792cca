import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.uncertain_demand import (
    DemandError,
    order_by_lots,
    order_up_to,
    poisson,
    reorder_point,
)


def mismatch(level, chances, over, under) -> float:
    return sum(p * (over * max(0, level - d) + under * max(0, d - level)) for d, p in chances.items())


def cost_by_cycles(chances, reorder, upper, holding, shortage, order_cost) -> float:
    """The long-run cost of a pair from the chances of where a cycle stands, period after period."""
    standing, cost, periods = {upper: 1.0}, order_cost, 0.0
    while sum(standing.values()) > 1e-12:
        after = {}
        for level, p in standing.items():
            cost += p * mismatch(level, chances, holding, shortage)
            periods += p
            for demand, q in chances.items():
                if level - demand > reorder:
                    after[level - demand] = after.get(level - demand, 0.0) + p * q
        standing = after
    return cost / periods


@settings(deadline=None, max_examples=8)
@given(mean=st.integers(1, 4), holding=st.integers(1, 5), shortage=st.integers(6, 20), order_cost=st.integers(1, 30))
def test_pair_of_levels_is_the_cheapest_of_a_grid(mean, holding, shortage, order_cost):
    chances = poisson(mean)
    found = order_up_to(chances, holding, shortage, order_cost)
    grid = min(
        cost_by_cycles(chances, reorder, upper, holding, shortage, order_cost)
        for upper in range(1, 14)
        for reorder in range(-4, upper)
    )
    assert found.cost <= grid + 1e-6
    found_again = cost_by_cycles(chances, int(found.reorder), int(found.order), holding, shortage, order_cost)
    assert found.cost == pytest.approx(found_again, rel=1e-6)


def test_lots_for_random_needs_are_the_cheapest_of_a_grid():
    chances = poisson(3.0)

    def cost(reorder, lot):
        levels = [mismatch(level, chances, 20, 150) for level in range(reorder + 1, reorder + lot + 1)]
        return (100 * 1.5 + sum(levels)) / lot

    best = min((cost(reorder, lot), reorder, lot) for reorder in range(-3, 12) for lot in range(1, 15))
    found = order_by_lots(20, 150, 100, 1.5, 2)
    assert (found.reorder, found.order) == best[1:]
    assert found.cost == pytest.approx(best[0])


def test_share_served_of_all_or_nothing_is_refused():
    for service in (0, 1, 1.2):
        with pytest.raises(DemandError, match="between 0 and 1"):
            reorder_point(12, 7, 3, 0.8, service)
