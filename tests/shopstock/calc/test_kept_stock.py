from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.issue_order import Need, Stock, issue
from shopstock.calc.kept_stock import (
    below_since,
    fresh,
    in_date_g,
    most_in_time_g,
    short_of_minimum,
    used_in_time_g,
)
from shopstock.calc.netting import net_needs

TODAY = date(2026, 3, 2)


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


def drum(code: str, mass_g: int, ends: int) -> Stock:
    return Stock(code, mass_g, day(ends), False, day(-10))


STOCK = [drum("P", 10_000, 60), drum("D", 20_000, 100)]
NEEDS = [Need(8_000, day(20), "Hull 7"), Need(1_000, day(70), "Deck")]


def test_what_dies_is_not_in_date_any_more():
    stock = [drum("P", 20_000, 9), drum("D", 10_000, 60)]
    plan = issue([Need(12_000, day(5), "Hull 7")], stock)
    assert [in_date_g(plan, stock, day(number)) for number in (4, 5, 9, 10, 61)] == [30_000, 18_000, 18_000, 10_000, 0]


def test_minimum_of_the_worked_example_is_lifted_again_as_jobs_take_and_drums_die():
    found = short_of_minimum(NEEDS, STOCK, minimum_g=25_000, soonest=day(14), life_days=180)
    assert [(short.mass_g, short.need.needed_on) for short in found] == [
        (3_000, day(20)), (2_000, day(61)), (1_000, day(70)),
    ]  # fmt: skip


def test_what_is_bought_for_the_minimum_dies_too():
    needs = [Need(1_000, day(90), "Hull 7")]
    found = short_of_minimum(needs, [drum("D", 1_000, 100)], minimum_g=5_000, soonest=TODAY, life_days=30)
    assert [(short.mass_g, short.need.needed_on) for short in found] == [
        (4_000, TODAY), (4_000, day(31)), (4_000, day(62)), (1_000, day(90)),
    ]  # fmt: skip


def test_it_is_below_since_the_day_on_which_it_fell_for_good():
    assert below_since(NEEDS, STOCK, minimum_g=25_000, on=TODAY, day=day(25)) == day(20)
    assert below_since(NEEDS, STOCK, minimum_g=31_000, on=TODAY, day=day(25)) == TODAY


def test_dip_that_an_order_mends_before_another_could_come_is_not_bought_for():
    stock = [*STOCK, fresh("order 0001", 10_000, day(12), 180)]
    assert short_of_minimum([], stock, minimum_g=35_000, soonest=day(14), life_days=180) == []


@settings(deadline=None, max_examples=60)
@given(
    needed=st.lists(st.integers(0, 60), min_size=1, max_size=8),
    on_hand=st.integers(0, 120),
    safety=st.integers(0, 40),
)
def test_undying_stock_is_netted_as_the_textbook_does(needed, on_hand, safety):
    """Net needs less what the jobs themselves lack, which is bought for them first."""
    needs = [Need(mass, day(7 * week), str(week)) for week, mass in enumerate(needed) if mass]
    stock = [Stock("D", on_hand, date.max, False, day(-1))]
    for number, short in enumerate(issue(needs, stock).short):
        stock.append(fresh(f"bought {number}", short.mass_g, short.need.needed_on, None))
    found = short_of_minimum(needs, stock, minimum_g=safety, soonest=TODAY, life_days=None)
    rows = net_needs([Decimal(mass) for mass in needed], on_hand=on_hand, safety=safety)
    bought = sum(item.mass_g for item in stock[1:]) + sum(short.mass_g for short in found)
    assert bought == sum(row.net for row in rows)


def test_netting_example_with_safety_stock_of_five():
    """On hand 22, 50 due in week 2, needs 0 38 12 0 64 20 0 45, safety 5: net 47, 20, 45, of which 5 for the safety."""
    needs = [Need(mass, day(7 * week), "job") for week, mass in enumerate((0, 38, 12, 0, 64, 20, 0, 45)) if mass]
    stock = [Stock("D", 22, date.max, False, day(-1)), fresh("order", 50, day(7), None)]
    stock += [fresh(str(s.need.needed_on), s.mass_g, s.need.needed_on, None) for s in issue(needs, stock).short]
    found = short_of_minimum(needs, stock, minimum_g=5, soonest=TODAY, life_days=None)
    assert [(short.mass_g, short.need.needed_on) for short in found] == [(5, day(28))]


@pytest.mark.parametrize(("drawn", "used"), [(25_000, 25_000), (5_000, 12_000)])
def test_use_in_time_is_the_larger_of_what_is_planned_and_what_was_drawn(drawn, used):
    needs = [Need(12_000, day(20), "Hull 7"), Need(30_000, day(200), "Deck")]
    assert used_in_time_g(needs, drawn_g=drawn, came_on=TODAY, life_days=180) == used


@pytest.mark.parametrize(("room", "bought"), [(60_000, 50_000), (49_999, 25_000), (20_000, 0), (-5_000, 0)])
def test_no_more_packs_than_are_used_in_time(room, bought):
    assert most_in_time_g(40_000, pack_g=25_000, room_g=room) == bought
