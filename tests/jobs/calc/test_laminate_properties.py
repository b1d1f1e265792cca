"""Defaults of strength and stiffness."""

import pytest

from jobs.calc.laminate_properties import PropertiesError, mat_and_woven, unidirectional


@pytest.mark.parametrize("properties", [mat_and_woven, unidirectional])
@pytest.mark.parametrize("fraction", [0.1999, 0.7501])
def test_fraction_outside_the_lines_is_refused(properties, fraction):
    with pytest.raises(PropertiesError, match="0.2"):
        properties(fraction)


def test_untested_glass_takes_a_fifth_off_everything():
    tested, untested = mat_and_woven(0.30), mat_and_woven(0.30, tested=False)
    assert vars(untested) == pytest.approx({name: 0.8 * value for name, value in vars(tested).items()})


def test_lowest_fraction_still_has_stiffness():
    assert mat_and_woven(0.20).modulus == pytest.approx(2600)
