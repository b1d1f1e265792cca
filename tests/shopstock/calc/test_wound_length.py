"""Length wound on a tube."""

import pytest

from shopstock.calc.wound_length import WoundLengthError, share_left, wound_length_mm


def test_wound_length_equals_the_sum_of_its_turns():
    turns = sum(3.141592653589793 * (89 + 1.18 * (2 * turn + 1)) for turn in range(40))
    assert wound_length_mm(89 + 2 * 40 * 1.18, 89, 1.18) == pytest.approx(turns, rel=1e-12)


def test_bare_core_has_nothing_left():
    assert share_left(76, 300, 76) == 0


def test_uncut_roll_may_read_a_little_thicker_than_when_it_came():
    assert share_left(302, 300, 76) == pytest.approx(1.0143, abs=1e-4)


def test_roll_thicker_than_when_it_came_is_refused_with_what_was_probably_meant():
    with pytest.raises(WoundLengthError, match="942 mm across is thicker than the 300 mm.*a tape round it shows"):
        share_left(942, 300, 76)


@pytest.mark.parametrize("diameters", [(310, 300, 76), (70, 300, 76), (200, 300, 0)])
def test_diameters_that_cannot_be_are_refused(diameters):
    with pytest.raises(WoundLengthError, match="again"):
        share_left(*diameters)


def test_fabric_without_thickness_is_refused():
    with pytest.raises(WoundLengthError, match="measure the thickness"):
        wound_length_mm(300, 76, 0)
