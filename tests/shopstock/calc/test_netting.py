"""What to order and when."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.netting import NettingError, OrderBy, in_whole_rolls, last_day_to_order, net_needs

quantities = st.lists(st.integers(0, 200), min_size=1, max_size=8)


@given(quantities, st.integers(0, 200), st.integers(0, 50), st.integers(1, 60))
def test_stock_never_falls_below_safety_when_orders_come_as_planned(needed, on_hand, safety, roll):
    rows = net_needs(needed, on_hand=on_hand, safety=safety, lot_rule=in_whole_rolls(Decimal(roll)))
    assert all(row.stock_after >= safety for row in rows)


@given(quantities, st.integers(0, 200), st.integers(1, 60))
def test_whole_rolls_never_buy_a_roll_too_many(needed, on_hand, roll):
    for row in net_needs(needed, on_hand=on_hand, lot_rule=in_whole_rolls(Decimal(roll))):
        assert row.planned_receipt % roll == 0
        assert row.net <= row.planned_receipt < row.net + roll


def test_order_that_should_have_gone_out_is_flagged():
    rows = net_needs([10, 10, 5, 0], on_hand=0, lead_periods=2)
    flags = [(row.release_period, row.past_due) for row in rows]
    assert flags == [(-1, True), (0, True), (1, False), (None, False)]


def test_negative_need_is_refused():
    with pytest.raises(NettingError, match="cannot be negative"):
        net_needs([-1], on_hand=0)


def test_more_receipts_than_periods_are_refused():
    with pytest.raises(NettingError, match="2 receipts were given for 1 periods"):
        net_needs([1], on_hand=0, arriving=[1, 1])


def test_roll_of_no_length_is_refused():
    with pytest.raises(NettingError, match="length a roll is sold in"):
        in_whole_rolls(Decimal(0))


@pytest.mark.parametrize(("today", "late"), [(date(2030, 5, 1), 0), (date(2030, 5, 6), 0), (date(2030, 5, 8), 2)])
def test_last_day_to_order_is_the_lead_time_before_the_need(today, late):
    assert last_day_to_order(date(2030, 5, 20), 14, on=today) == OrderBy(date(2030, 5, 6), late)
