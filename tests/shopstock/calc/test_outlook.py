from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.outlook import COMES, DIES, MAY_COME, SHORT, TAKEN, Event, outlook, weekly

MONDAY = date(2026, 3, 2)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def of(*events, sure=10, booked=12, until=30, **more):
    found = outlook(
        [Event(day(n), kind, amount, kind) for n, kind, amount in events],
        sure=sure, booked=booked, on=MONDAY, until=day(until), **more,
    )  # fmt: skip
    return [((point.on - MONDAY).days, point.left, point.high, point.low, point.short) for point in found.points]


def test_worked_example_of_the_docstring():
    assert of((3, TAKEN, 6), (5, SHORT, 5)) == [(0, 10, 12, 10, 0), (3, 4, 6, 4, 0), (5, 4, 6, 4, 5), (30, 4, 6, 4, 5)]


def test_what_comes_goes_up_and_what_dies_goes_down():
    assert of((2, COMES, 50), (4, DIES, 7))[1:3] == [(2, 60, 62, 60, 0), (4, 53, 55, 53, 0)]


def test_first_day_below_a_minimum_is_the_day_after_which_less_is_left():
    events = [Event(day(3), TAKEN, 4, "Hull 7"), Event(day(5), TAKEN, 1, "Deck")]
    found = outlook(events, sure=10, booked=12, on=MONDAY, until=day(9))
    below = [found.first_below(least) for least in (5, 6, 7, 10)]
    assert [point and point.on for point in below] == [None, day(5), day(3), day(3)]


def test_what_may_come_and_the_forecast_lower_the_worst_case_alone():
    rows = of((10, MAY_COME, 3), until=20, unplanned_a_day=0.2)
    assert rows == [(0, 10, 12, 10, 0), (10, 10, 12, 5, 0), (20, 10, 12, 3, 0)]


def test_event_of_a_day_gone_by_counts_today():
    assert of((-5, TAKEN, 4))[0] == (0, 6, 8, 6, 0)


def test_first_day_short_is_the_first_of_them():
    events = [Event(day(9), SHORT, 1, "b"), Event(day(4), SHORT, 2, "a")]
    found = outlook(events, sure=0, booked=0, on=MONDAY, until=day(20))
    assert (found.first_short.on, found.first_short.short, found.last_on) == (day(4), 2, day(20))
    assert outlook([], sure=0, booked=0, on=MONDAY, until=day(20)).first_short is None


kinds = st.sampled_from([COMES, TAKEN, DIES, SHORT, MAY_COME])
events = st.lists(st.tuples(st.integers(-10, 80), kinds, st.integers(0, 40)), max_size=12)


@settings(max_examples=60, deadline=None)
@given(events, st.integers(0, 60), st.integers(0, 20), st.floats(0, 2))
def test_worst_is_never_above_sure_nor_sure_above_best_and_nothing_below_zero(rows, sure, doubt, a_day):
    found = of(*rows, sure=sure, booked=sure + doubt, unplanned_a_day=a_day)
    assert all(0 <= low <= left <= high for _, left, high, low, _ in found)
    assert [row[0] for row in found] == sorted({row[0] for row in found})
    assert [row[4] for row in found] == sorted(row[4] for row in found)
    assert found[-1][4] == sum(amount for _, kind, amount in rows if kind == SHORT)


def test_weeks_hold_what_falls_into_them_and_half_a_week_is_none():
    uses = [(day(0), 5), (day(9), 2), (day(13), 1), (day(-1), 9), (day(21), 9)]
    assert weekly(uses, first=MONDAY, last=day(20)) == [5, 3, 0]
    assert weekly(uses, first=MONDAY, last=day(19)) == [5, 3]
