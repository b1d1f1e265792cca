"""Whole rolls against every possible way of ordering, and what the plan says of itself."""

from decimal import Decimal
from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopstock.calc.whole_rolls import (
    EXACT,
    LOT_FOR_LOT,
    Break,
    Material,
    WholeRollError,
    cheapest_orders,
    cost_of,
    lot_for_lot,
)


def material(needed, *, on_hand=0, pack=50, name="roving", **fields) -> Material:
    exact = {key: Decimal(value) for key, value in fields.items() if key in ("safety", "line_cost", "holding")}
    rest = {key: value for key, value in fields.items() if key not in exact}
    arriving = tuple(map(Decimal, rest.pop("arriving", ())))
    return Material(
        name, tuple(map(Decimal, needed)), Decimal(on_hand), Decimal(pack), arriving=arriving, **exact, **rest
    )


def allowed(item: Material, packs) -> bool:
    """Stock never below safety once an order can come, and nothing before."""
    left = item.stock(packs)
    lead = item.lead_periods
    return not any(packs[:lead]) and all(stock >= item.safety for stock in left[lead:])


def cheapest_of_all(materials, freight, most=3) -> Decimal | None:
    ways = [
        [packs for packs in product(range(most + 1), repeat=len(item.needed)) if allowed(item, packs)]
        for item in materials
    ]
    costs = [cost_of(materials, packs, freight) for packs in product(*ways)]
    return min(costs, default=None)


needs = st.lists(st.integers(0, 60), min_size=4, max_size=4)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    needed=needs,
    on_hand=st.integers(0, 80),
    safety=st.integers(0, 20),
    lead=st.integers(0, 2),
    freight=st.integers(0, 80),
    holding=st.integers(0, 40),
    price=st.integers(0, 90),
)
def test_one_material_costs_what_the_cheapest_of_all_ways_costs(needed, on_hand, safety, lead, freight, holding, price):
    item = material(
        needed,
        on_hand=on_hand,
        safety=safety,
        lead_periods=lead,
        holding=Decimal(holding) / 100,
        prices=(Break(1, Decimal(price)), Break(3, Decimal(price) * Decimal("0.9"))),
    )
    plan = cheapest_orders([item], Decimal(freight), seconds=30)
    best = cheapest_of_all([item], Decimal(freight), most=7)
    assert plan.method == EXACT
    assert allowed(item, plan.packs[0])
    assert plan.cost == cost_of([item], plan.packs, Decimal(freight))
    assert abs(plan.cost - best) < Decimal("0.0001")


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    one=st.lists(st.integers(0, 60), min_size=3, max_size=3),
    other=st.lists(st.integers(0, 60), min_size=3, max_size=3),
    freight=st.integers(0, 60),
)
def test_two_materials_that_share_freight_cost_what_the_cheapest_of_all_ways_costs(one, other, freight):
    items = [
        material(one, pack=50, holding="0.2", line_cost=5),
        material(other, pack=30, holding="0.1", line_cost=3, name="mat", lead_periods=1),
    ]
    plan = cheapest_orders(items, Decimal(freight), seconds=30)
    assert abs(plan.cost - cheapest_of_all(items, Decimal(freight), most=6)) < Decimal("0.0001")


def test_freight_shared_by_two_materials_is_paid_once():
    items = [material([0, 0, 40], holding="0.01"), material([0, 20, 0], holding="0.01", name="mat")]
    plan = cheapest_orders(items, Decimal(60))
    assert plan.deliveries == 1
    assert lot_for_lot(items, Decimal(60)).deliveries == 2


def test_price_break_is_reached_when_it_is_worth_it():
    cheap_in_fives = (Break(1, Decimal(100)), Break(5, Decimal(70)))
    plan = cheapest_orders([material([200], prices=cheap_in_fives)], Decimal(0))
    assert (plan.packs, plan.cost) == (((5,),), Decimal(350))


def test_resin_is_never_ordered_for_longer_than_it_lives():
    steady = [20] * 6
    forever = cheapest_orders([material(steady, pack=20, holding="0.01")], Decimal(60))
    short_lived = cheapest_orders([material(steady, pack=20, holding="0.01", life_periods=1)], Decimal(60))
    assert forever.packs == ((6, 0, 0, 0, 0, 0),)
    assert short_lived.packs == ((2, 0, 2, 0, 2, 0),)


def test_whole_pack_that_outlives_its_need_is_still_bought():
    plan = cheapest_orders([material([5, 0, 0], pack=20, life_periods=1)], Decimal(10))
    assert plan.packs == ((1, 0, 0),)


def test_what_is_short_inside_the_lead_time_is_made_good_as_soon_as_an_order_can_come():
    plan = cheapest_orders([material([30, 0, 0, 0], lead_periods=2)], Decimal(10))
    assert plan.packs == ((0, 0, 1, 0),)


def test_nothing_needed_is_nothing_ordered_and_that_is_proved():
    plan = cheapest_orders([material([10, 10], on_hand=30)], Decimal(10))
    assert (plan.packs, plan.method) == (((0, 0),), EXACT)


def test_without_time_the_answer_is_lot_for_lot_or_says_that_it_is_not_proved():
    items = [material([(7 * k + 3 * n) % 50 for k in range(40)], holding="0.03", name=str(n)) for n in range(8)]
    plan = cheapest_orders(items, Decimal(75), seconds=0.001)
    assert plan.method != EXACT
    if plan.method == LOT_FOR_LOT:
        assert plan == lot_for_lot(items, Decimal(75))


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"lead_periods": -1}, "lead time cannot be negative"),
        ({"pack": 0}, "give what it is sold in"),
        ({"safety": -1}, "cannot be below 0"),
        ({"prices": (Break(2, Decimal(1)),)}, "prices start at one pack"),
        ({"arriving": (0, 0, 1)}, "more arrivals than periods"),
    ],
)
def test_material_that_cannot_be_ordered_is_refused_by_name(fields, says):
    with pytest.raises(WholeRollError, match=f"roving: .*{says}"):
        cheapest_orders([material([10, 10], **fields)], Decimal(1))


def test_materials_of_unequal_periods_and_freight_below_nothing_are_refused():
    with pytest.raises(WholeRollError, match="same 1 to 60 periods"):
        lot_for_lot([material([1]), material([1, 2])], Decimal(0))
    with pytest.raises(WholeRollError, match="Freight"):
        lot_for_lot([material([1])], Decimal(-1))
