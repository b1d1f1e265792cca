import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.polar_picture import ANGLES_DEG, MIDDLE, REACH, Curve, draw_polar, ring_step


def even(value: float) -> Curve:
    return Curve("even", (value,) * len(ANGLES_DEG))


@given(st.floats(1e-6, 1e9))
def test_two_to_four_rings_hold_the_largest_value(value):
    picture = draw_polar([even(value)])
    assert 1 <= len(picture.rings) <= 4
    assert picture.rings[-1].radius == pytest.approx(REACH, abs=0.05)


@pytest.mark.parametrize(("largest", "step"), [(637, 200), (3, 1), (0, 1), (4, 1), (4.1, 2), (0.03, 0.01)])
def test_rings_stand_at_round_figures(largest, step):
    assert ring_step(largest) == pytest.approx(step)


def test_curve_starts_at_the_warp_on_the_right():
    assert draw_polar([even(4)]).curves[0].path.startswith(f"M{MIDDLE + REACH:.1f} {MIDDLE:.1f} L")


def test_plus_45_lies_above_the_warp_counted_counter_clockwise_and_below_it_counted_clockwise():
    above, below = (draw_polar([even(1)], clockwise=turn).spokes[1] for turn in (False, True))
    assert above.label == below.label == "+45°"
    assert above.y < MIDDLE < below.y


def test_spokes_are_named_on_the_right_half_with_true_minus_signs():
    assert [spoke.label for spoke in draw_polar([even(1)]).spokes if spoke.label] == [
        "0°", "+45°", "90°", "−90°", "−45°",
    ]  # fmt: skip


def test_curves_share_one_scale():
    picture = draw_polar([even(4), even(2)])
    assert picture.curves[1].path.startswith(f"M{MIDDLE + REACH / 2:.1f} ")


def test_nothing_to_draw_is_refused():
    with pytest.raises(ValueError, match="at least one curve"):
        draw_polar([])
