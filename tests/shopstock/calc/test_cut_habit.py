"""Learning from recounts how much more than entered a cut takes."""

import pytest

from shopstock.calc.cut_habit import Drift, learn_habit

STEADY = [Drift(15.0 * cuts, cuts, 1.0) for cuts in (8, 16, 4, 10, 12)]


def test_steady_habit_is_found():
    habit = learn_habit(STEADY)
    assert habit.over_mm == pytest.approx(15)
    assert (habit.observations, habit.cuts, habit.allowance_mm, habit.is_known) == (5, 50, 15, True)


def test_forgotten_cut_is_no_habit():
    habit = learn_habit([*STEADY, Drift(15.0 * 8 + 2_000, 8, 1.0)])
    assert (round(habit.over_mm), habit.left_out) == (15, 1)


def test_few_recounts_are_not_enough():
    assert not learn_habit(STEADY[:4]).is_known


def test_habit_lost_in_the_noise_is_not_known():
    assert not learn_habit([Drift(over, 8, 300.0) for over in (-200, 300, 50, -100, 250)]).is_known


def test_recounts_without_cuts_teach_nothing():
    assert learn_habit([Drift(500, 0, 1.0)]) is None
