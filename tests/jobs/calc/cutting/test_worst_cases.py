"""The problems that cost planners most: slivers beside long blanks, long strips beside patches, squares cut up deep."""

import pytest

from tests.jobs.calc.cutting.problems import cut_deep, long_and_small, planned, published_n7


def test_slivers_beside_long_blanks_come_within_a_tenth_of_the_published_optimum():
    plan = planned(published_n7(), work_limit=60)
    assert plan.cloth_mm2 <= 1090 * 800
    assert plan.bound_mm2 == 1000 * 800


def test_long_strips_beside_small_blanks_fill_the_roll_in_a_fourth_stage():
    data, length_mm = long_and_small()
    plan = planned(data | {"stages": 4}, work_limit=60)
    assert plan.cloth_mm2 == length_mm * 1210
    assert plan.proved


def test_long_strips_beside_small_blanks_cost_more_in_three_stages_and_are_not_called_proved():
    data, length_mm = long_and_small()
    plan = planned(data, work_limit=60)
    assert length_mm * 1210 < plan.cloth_mm2 <= 4760 * 1210
    assert plan.bound_mm2 == length_mm * 1210
    assert not plan.proved


@pytest.mark.parametrize("seed", [0, 1])
def test_a_square_cut_up_deeper_than_three_stages_is_put_together_within_six_hundredths(seed):
    plan = planned(cut_deep(seed), work_limit=15)
    assert plan.cloth_mm2 <= 2120 * 2000
    assert plan.bound_mm2 == 2000 * 2000
