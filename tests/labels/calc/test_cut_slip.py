import pytest

from labels.calc.cut_slip import is_far_from_plan


@pytest.mark.parametrize(
    ("length_mm", "planned_mm", "far"),
    [(8_300, 4_200, False), (9_000, 4_200, True), (420, 4_200, True), (2_200, 4_200, False), (100, 500, False)],
)
def test_cut_is_far_from_the_plan_beyond_twice_and_half_a_metre(length_mm, planned_mm, far):
    assert is_far_from_plan(length_mm, planned_mm) is far
