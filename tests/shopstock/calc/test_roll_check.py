from fractions import Fraction

import pytest

from shopstock.calc.roll_check import (
    length_is_absurd,
    likely_masses,
    likely_widths,
    mass_is_absurd,
    width_is_absurd,
    width_is_odd,
)


@pytest.mark.parametrize(
    ("measured_mm", "catalogue_mm", "odd"),
    [
        (1270, 1270, False),
        (1295, 1270, False),
        (1296, 1270, True),
        (1244, 1270, True),
        (105, 100, False),
        (106, 100, True),
    ],
)
def test_width_is_odd_beyond_25_mm_or_5_percent(measured_mm, catalogue_mm, odd):
    assert width_is_odd(measured_mm, catalogue_mm) is odd


@pytest.mark.parametrize(("measured_mm", "absurd"), [(1270, False), (3810, False), (3811, True)])
def test_width_is_absurd_beyond_three_times_the_catalogue(measured_mm, absurd):
    assert width_is_absurd(measured_mm, 1270) is absurd


@pytest.mark.parametrize(("label_mm", "absurd"), [(50_000, False), (500_000, False), (500_001, True)])
def test_length_is_absurd_beyond_ten_rolls_as_sold(label_mm, absurd):
    assert length_is_absurd(label_mm, 50_000) is absurd


@pytest.mark.parametrize(
    ("net_g", "absurd"), [(31_000, False), (92_700, False), (92_701, True), (10_300, False), (31, True)]
)
def test_mass_is_absurd_beyond_three_times_either_way(net_g, absurd):
    assert mass_is_absurd(net_g, Fraction(30_900)) is absurd


@pytest.mark.parametrize(
    ("number", "readings"),
    [("32600", ["32600 g"]), ("32.6", ["32.6 kg"]), ("71.9", ["71.9 lb"]), ("5", [])],
)
def test_likely_masses_name_the_unit_in_which_the_number_fits(number, readings):
    assert likely_masses(Fraction(number), 1_600, Fraction(30_900)) == readings


@pytest.mark.parametrize(
    ("number", "readings"), [("49.5", ["49.5 in"]), ("127", ["127 cm"]), ("1.27", ["1.27 m"]), ("1100", [])]
)
def test_likely_widths_name_the_unit_in_which_the_number_is_the_catalogues(number, readings):
    assert likely_widths(Fraction(number), 1_270) == readings
