"""A year of a shop, many times over: does "give or take" mean what it says, and what does measuring gain?"""

import numpy as np
import pytest

from tests.shopstock.simulation.year import OVER_MM, Result, Year, learned_habit

SEEDS = range(100, 112)
HABIT_SEED = 7


@pytest.fixture(scope="module")
def habit():
    return learned_habit(HABIT_SEED)


def pooled(habit) -> Result:
    together = Result()
    for seed in SEEDS:
        result = Year(seed, habit).run().result
        together.normal_errors += result.normal_errors
        together.errors_mm += result.errors_mm
        together.ledger_errors_mm += result.ledger_errors_mm
        together.below_safe += result.below_safe
        together.refused += result.refused
    return together


@pytest.fixture(scope="module")
def years(habit):
    return pooled(habit)


def root_mean_square(errors) -> float:
    return float(np.sqrt(np.mean(np.square(errors))))


def test_habit_of_cutting_over_is_found_though_some_cuts_are_forgotten(habit):
    assert abs(habit.over_mm - OVER_MM) < 3 * habit.u_over_mm
    assert habit.left_out > 0


def test_band_of_95_percent_holds_the_truth_in_93_to_97_percent(years):
    assert len(years.errors_mm) > 4_000
    assert 93 <= years.held_percent <= 97


def test_safe_length_is_really_there_in_95_percent(years):
    assert 93 <= years.above_safe_percent <= 97


def test_estimate_is_not_off_to_one_side(years):
    assert abs(np.mean(years.normal_errors)) < 0.15


def test_measuring_is_at_least_five_times_better_than_the_ledger_alone(years):
    assert root_mean_square(years.ledger_errors_mm) > 5 * root_mean_square(years.errors_mm)


def test_without_the_habit_the_band_is_too_narrow():
    assert pooled(None).held_percent < 93
