from datetime import date
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.issue_order import (
    Issue,
    IssueError,
    Need,
    Short,
    Stock,
    Taken,
    goes_before,
    issue,
    issue_order,
    order_for_job,
)

USE = date(2026, 1, 20)
AUTUMN = date(2025, 10, 1)
P4 = Stock("P4", 20_000, date(2026, 1, 5), True, AUTUMN)
P3 = Stock("P3", 12_000, date(2026, 2, 10), True, AUTUMN)
D1 = Stock("D1", 18_000, date(2026, 3, 1), True, AUTUMN)
D2 = Stock("D2", 200_000, date(2026, 5, 15), False, AUTUMN)
HULL = Need(36_300, USE, "Hull 7")


def codes(stock: list[Stock]) -> list[str]:
    return [item.code for item in stock]


def test_order_of_the_worked_example_leaves_out_what_is_past_its_date():
    assert codes(issue_order([D2, P4, D1, P3], USE)) == ["P3", "D1", "D2"]


def test_issue_of_the_worked_example_takes_from_three_containers():
    result = issue([HULL], [D2, P4, D1, P3])
    assert result.taken == (Taken("P3", 12_000, HULL), Taken("D1", 18_000, HULL), Taken("D2", 6_300, HULL))
    assert (result.short, result.left_g) == ((), {"D2": 193_700, "P4": 20_000, "D1": 0, "P3": 0})


def test_container_is_usable_on_its_last_day_and_not_after():
    assert codes(issue_order([P3], date(2026, 2, 10))) == ["P3"]
    assert issue_order([P3], date(2026, 2, 11)) == []


def test_opened_goes_before_sealed_when_the_dates_are_the_same():
    sealed = Stock("S", 500, USE, False, date(2025, 1, 1))
    opened = Stock("O", 500, USE, True, AUTUMN)
    assert codes(issue_order([sealed, opened], USE)) == ["O", "S"]


def test_earliest_received_goes_first_when_all_else_is_the_same():
    later = Stock("L", 500, USE, False, date(2025, 11, 1))
    earlier = Stock("E", 500, USE, False, AUTUMN)
    assert codes(issue_order([later, earlier], USE)) == ["E", "L"]
    assert goes_before(earlier, later)


def test_two_alike_may_be_taken_either_way():
    twin = Stock("T", 900, P3.expires_on, P3.opened, P3.received_on)
    assert not goes_before(twin, P3)
    assert not goes_before(P3, twin)


def test_empty_container_is_left_out():
    assert issue_order([Stock("X", 0, USE, True, AUTUMN)], USE) == []


def test_later_need_cannot_have_what_died_in_between():
    early, late = Need(5_000, date(2026, 2, 1), "Deck"), Need(9_000, date(2026, 2, 20), "Hatch")
    result = issue([late, early], [P3])
    assert result == Issue((Taken("P3", 5_000, early),), (Short(9_000, late),), {"P3": 7_000})


def test_negative_need_is_refused():
    with pytest.raises(IssueError, match="less than nothing"):
        issue([Need(-1, USE, "Hull 7")], [P3])


days = st.dates(date(2026, 1, 1), date(2026, 3, 1))
containers = st.lists(
    st.builds(Stock, st.text("ABCDEFGH", min_size=3), st.integers(0, 50_000), days, st.booleans(), days)
)
needs = st.lists(st.builds(Need, st.integers(0, 50_000), days, st.just("job")))


@given(needs, containers.map(lambda items: list({item.code: item for item in items}.values())))
def test_what_is_taken_short_and_left_adds_up(needs, stock):
    result = issue(needs, stock)
    taken = sum(line.mass_g for line in result.taken)
    assert taken + sum(line.mass_g for line in result.short) == sum(need.mass_g for need in needs)
    assert taken + sum(result.left_g.values()) == sum(item.mass_g for item in stock)
    expires = {item.code: item.expires_on for item in stock}
    assert all(expires[line.code] >= line.need.needed_on for line in result.taken)


few = st.lists(
    st.builds(Stock, st.text("ABCDEFGH", min_size=3), st.integers(1, 20), days, st.booleans(), days), max_size=4
)
few_needs = st.lists(st.builds(Need, st.integers(1, 30), days, st.just("job")), max_size=3)


def served_g(needs, stock) -> int:
    """What is given when needs and containers are taken in just this order, whatever date it makes die."""
    left, served = {item.code: item.mass_g for item in stock}, 0
    for need in needs:
        wanted = need.mass_g
        for item in stock:
            if item.received_on <= need.needed_on <= item.expires_on:
                mass = min(wanted, left[item.code])
                left[item.code] -= mass
                wanted -= mass
                served += mass
    return served


@given(few_needs, few.map(lambda items: list({item.code: item for item in items}.values())))
def test_no_other_order_of_needs_and_containers_gives_more(needs, stock):
    best = max(served_g(order, rows) for order in permutations(needs) for rows in permutations(stock))
    assert sum(line.mass_g for line in issue(needs, stock).taken) == best


@given(few.map(lambda items: list({item.code: item for item in items}.values())), days)
def test_first_to_go_is_the_least_of_all_by_date_then_open_then_receipt(stock, on):
    order = issue_order(stock, on)
    usable = [item for item in stock if item.received_on <= on <= item.expires_on]
    assert sorted(codes(order)) == sorted(codes(usable))
    assert all(not goes_before(later, first) for n, first in enumerate(order) for later in order[n + 1 :])


def batch(code: str, mass_g: int, expires_on: date, name: str) -> Stock:
    return Stock(code, mass_g, expires_on, False, AUTUMN, name)


G1, G2 = batch("G1", 4_000, date(2026, 2, 10), "a"), batch("G2", 10_000, date(2026, 3, 1), "b")


def test_colour_begins_with_the_first_batch_that_is_enough_alone():
    assert codes(order_for_job([G1, G2], USE, 9_000, alike=True)) == ["G2", "G1"]
    assert codes(order_for_job([G1, G2], USE, 4_000, alike=True)) == ["G1", "G2"]


def test_colour_that_no_batch_covers_goes_by_date():
    assert codes(order_for_job([G1, G2], USE, 12_000, alike=True)) == ["G1", "G2"]


def test_batch_begun_goes_on_while_it_lasts():
    assert codes(order_for_job([G1, G2], USE, 9_000, begun="b")) == ["G2", "G1"]
    assert codes(order_for_job([G1], USE, 9_000, begun="b")) == ["G1"]


def test_resin_goes_by_date_whatever_its_batch():
    assert codes(order_for_job([G2, G1], USE, 9_000)) == ["G1", "G2"]
