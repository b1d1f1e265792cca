from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.lot_sizes import LotSizeError, cheapest_lots, cost_of_lots, silver_meal

needs = st.lists(st.integers(0, 90), min_size=1, max_size=7)


def cheapest_of_all(needed, holding, order_cost) -> Decimal:
    """Every way of choosing the periods with an order; an order lasts until the next."""
    costs = []
    for chosen in product([0, 1], repeat=len(needed)):
        lots, last = [0] * len(needed), None
        for period, (need, order) in enumerate(zip(needed, chosen, strict=True)):
            last = period if order else last
            if need and last is None:
                break
            if need:
                lots[last] += need
        else:
            costs.append(cost_of_lots(needed, lots, holding=holding, order_cost=order_cost))
    return min(costs)


@settings(deadline=None, max_examples=60)
@given(needed=needs, holding=st.integers(0, 4), order_cost=st.integers(0, 200))
def test_cheapest_lots_cost_what_the_cheapest_of_all_ways_costs(needed, holding, order_cost):
    found = cheapest_lots(needed, holding=holding, order_cost=order_cost)
    assert found.cost == cheapest_of_all(needed, holding, order_cost)
    assert sum(found.lots) == sum(needed)
    assert cost_of_lots(needed, found.lots, holding=holding, order_cost=order_cost) == found.cost


@settings(deadline=None, max_examples=60)
@given(needed=needs, holding=st.integers(0, 4), order_cost=st.integers(0, 200))
def test_silver_meal_covers_every_need_and_never_beats_the_cheapest(needed, holding, order_cost):
    found = silver_meal(needed, holding=holding, order_cost=order_cost)
    assert sum(found.lots) == sum(needed)
    assert found.cost >= cheapest_lots(needed, holding=holding, order_cost=order_cost).cost


def test_lots_that_come_too_late_are_refused():
    with pytest.raises(LotSizeError, match="too late"):
        cost_of_lots([5, 5], [4, 6], holding=1, order_cost=1)


def test_need_below_nothing_and_figures_for_other_periods_are_refused():
    with pytest.raises(LotSizeError, match="below 0"):
        cheapest_lots([-1], holding=1, order_cost=1)
    with pytest.raises(LotSizeError, match="2 figures were given for 1 periods"):
        cheapest_lots([1], holding=1, order_cost=[1, 2])
