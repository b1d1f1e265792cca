"""Length, mass and areal weight of a roll."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.roll_mass import (
    RollMassError,
    length_mm_from_mass,
    length_mm_from_mass_ratio,
    mass_g_from_length,
    measured_areal_weight_gsm,
    net_mass_g,
    weigh_in,
)

lengths = st.integers(1, 10_000_000)
widths = st.integers(10, 3000)
weights = st.decimals(min_value=10, max_value=3000, places=2)


@given(lengths, weights, widths)
def test_length_from_the_mass_of_a_length_is_that_length(length, gsm, width):
    assert abs(length_mm_from_mass(mass_g_from_length(length, gsm, width), gsm, width) - length) < Decimal("1e-9")


@given(lengths, weights, widths)
def test_measured_areal_weight_is_the_one_the_mass_came_from(length, gsm, width):
    assert abs(measured_areal_weight_gsm(mass_g_from_length(length, gsm, width), length, width) - gsm) < Decimal("1e-9")


@given(st.integers(0, 500), st.integers(0, 500))
def test_length_falls_as_the_tube_is_heavier(one, other):
    lighter, heavier = sorted((one, other))
    with_lighter = length_mm_from_mass(net_mass_g(21400, lighter), 450, 1250)
    assert length_mm_from_mass(net_mass_g(21400, heavier), 450, 1250) <= with_lighter


def test_ratio_to_receipt_needs_no_areal_weight():
    assert round(length_mm_from_mass_ratio(55000, 31000, 19800)) == 35129


def test_tube_heavier_than_the_roll_is_refused():
    with pytest.raises(RollMassError, match="weigh again"):
        net_mass_g(1500, 1600)


@pytest.mark.parametrize(("gsm", "width"), [(0, 1250), (450, 0), (-1, 1250)])
def test_length_from_nothing_is_refused(gsm, width):
    with pytest.raises(RollMassError, match="above zero"):
        length_mm_from_mass(1000, gsm, width)


@pytest.mark.parametrize(("measured", "inside"), [("495", True), ("495.01", False), ("405", True), ("404.99", False)])
def test_tolerance_of_mat_is_ten_per_cent_either_way(measured, inside):
    assert weigh_in(Decimal(measured), Decimal(450), "mat").in_tolerance is inside


def test_data_sheet_tolerance_goes_before_the_forms():
    assert not weigh_in(Decimal(470), Decimal(450), "mat", tolerance_percent=Decimal(4)).in_tolerance
