"""How sure a length is, and saying so."""

import pytest

from shopstock.calc.uncertainty import Estimate, UncertaintyError, covariance_mm2, from_tolerance, in_words


@pytest.mark.parametrize(
    ("length_mm", "u_mm", "system", "words"),
    [
        (35_129, 215, "metric", "35.1 m, give or take 0.4 m"),
        (2_410, 6, "metric", "2.41 m, give or take 1 cm"),
        (2_410, 0, "metric", "2.41 m, give or take 1 cm"),
        (35_129, 215, "us", "115 ft 3 in, give or take 17 in"),
        (35_200, 2036, "us", "115 ft 6 in, give or take 13.1 ft"),
    ],
)
def test_doubt_is_said_in_plain_words(length_mm, u_mm, system, words):
    assert in_words(length_mm, u_mm, system) == words


def test_safe_length_is_one_sided_and_never_below_nothing():
    assert Estimate(35_129, 215).safe_length_mm == pytest.approx(34_775, abs=1)
    assert Estimate(100, 215).safe_length_mm == 0


def test_what_only_one_estimate_rests_on_is_no_covariance():
    assert covariance_mm2(Estimate(1, 5, {"label": 3}), Estimate(1, 5, {"tube": 4})) == 0


def test_negative_tolerance_is_refused():
    with pytest.raises(UncertaintyError):
        from_tolerance(-1)
