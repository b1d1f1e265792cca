import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.calc.precedence import CircleError, in_order


def test_job_with_a_decision_goes_right_before_the_one_that_waits():
    assert in_order("ABCD", [("C", "A")]) == ["C", "A", "B", "D"]
    assert in_order("ABCD", [("C", "A"), ("D", "C")]) == ["D", "C", "A", "B"]


def test_decision_about_a_job_that_is_done_changes_nothing():
    assert in_order("AB", [("Z", "A")]) == ["A", "B"]


def test_circle_is_refused():
    with pytest.raises(CircleError, match="circle"):
        in_order("ABC", [("A", "B"), ("B", "C"), ("C", "A")])


@given(st.permutations(range(6)), st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), max_size=6))
def test_every_decision_is_kept_and_nobody_is_lost(order, pairs):
    before = [(first, then) for first, then in pairs if first != then and order[first] < order[then]]
    found = in_order(list(range(6)), before)
    assert sorted(found) == list(range(6))
    assert all(found.index(first) < found.index(then) for first, then in before)
