from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.outlook import COMES, MAY_COME, SHORT, TAKEN, Event, outlook
from shopstock.calc.outlook_picture import HEIGHT, LEFT, NARROW, RIGHT, TOP, WIDE, draw_outlook

TODAY = date(2026, 3, 2)


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


def drawn(*events, sure=10_000, booked=None, order_by=None, stops="", minimum=0, width=WIDE):
    found = outlook(
        [Event(day(n), kind, amount, f"{kind} {amount}") for n, kind, amount in events],
        sure=sure, booked=booked or sure, on=TODAY, until=day(80),
    )  # fmt: skip
    return draw_outlook(found, unit=1_000, unit_name="m", order_by=order_by, stops=stops, minimum=minimum, width=width)


def test_line_keeps_its_height_until_the_day_and_falls_on_it():
    picture = drawn((40, TAKEN, 5_000))
    middle, half, end = (LEFT + WIDE - RIGHT) / 2, (picture.zero_y + TOP) / 2, WIDE - RIGHT
    corners = [(LEFT, TOP), (middle, TOP), (middle, half), (end, half), (end, half)]
    assert picture.line == "M" + " L".join(f"{x:g} {y:g}" for x, y in corners)


def test_amounts_are_round_numbers_and_what_is_short_is_below_nothing():
    picture = drawn((40, SHORT, 27_000))
    assert [label.words for label in picture.amounts] == ["0 m", "10 m", "−30 m"]
    assert picture.short.startswith(f"M{(LEFT + WIDE - RIGHT) / 2:g} {picture.zero_y:g} ")


def test_nothing_short_draws_nothing_below():
    picture = drawn((40, TAKEN, 5_000), stops="Hull 7")
    assert (picture.short, picture.stops) == ("", None)


def test_minimum_is_a_rule_at_its_height_and_makes_room_above_all_stock():
    picture = drawn((40, TAKEN, 5_000), minimum=5_000)
    assert picture.minimum.under_y == (picture.zero_y + TOP) / 2
    assert drawn((40, TAKEN, 5_000), minimum=20_000).minimum.under_y == TOP
    assert drawn((40, TAKEN, 5_000)).minimum is None


def test_marks_say_the_day_and_every_event_of_it_and_show_the_worst():
    (mark,) = drawn((9, TAKEN, 2_000), (9, SHORT, 3_000)).marks
    assert (mark.kind, mark.words) == ("short", "2026-03-11: taken 2000; short 3000")
    assert [mark.kind for mark in drawn((9, COMES, 2_000), (12, MAY_COME, 1_000)).marks] == ["comes", "may-come"]


@pytest.mark.parametrize(
    ("order_by", "words", "x"),
    [(day(20), "order by 22 Mar", LEFT + (WIDE - LEFT - RIGHT) / 4), (day(-3), "order at once", LEFT)],
)
def test_last_day_to_order_is_marked_and_a_day_gone_by_stands_at_today(order_by, words, x):
    picture = drawn((40, SHORT, 1_000), order_by=order_by)
    assert (picture.order_by.words, picture.order_by_x) == (words, x)


def test_job_that_stops_is_named_and_cut_short_where_the_drawing_is_narrow():
    name = "Workboat deck of the lifeboat 7"
    assert drawn((20, SHORT, 1_000), stops=name).stops.words == f"short for {name}"
    assert drawn((20, SHORT, 1_000), stops=name, width=NARROW).stops.words == "short for Workboat de…"


@settings(max_examples=50, deadline=None)
@given(
    rows=st.lists(
        st.tuples(st.integers(0, 400), st.sampled_from([COMES, TAKEN, SHORT, MAY_COME]), st.integers(0, 10**6)),
        max_size=8,
    ),
    sure=st.integers(0, 10**6),
    width=st.sampled_from([WIDE, NARROW]),
    order=st.integers(-40, 500),
)
def test_everything_lies_inside_the_drawing_and_days_do_not_run_into_each_other(rows, sure, width, order):
    picture = drawn(*rows, sure=sure, booked=sure + 500, width=width, order_by=day(order))
    corners = [
        tuple(map(float, corner.split()))
        for path in (picture.line, picture.band, picture.short)
        for corner in path.replace("M", " L").replace(" Z", "").split(" L")
        if corner.strip()
    ]
    assert all(LEFT <= x <= width - RIGHT and 0 <= y <= HEIGHT for x, y in corners)
    assert all(LEFT <= mark.x <= width - RIGHT and 0 <= mark.y <= HEIGHT for mark in picture.marks)
    places = [label.x for label in picture.days]
    assert all(later - earlier >= 80 for earlier, later in zip(places, places[1:], strict=False))
