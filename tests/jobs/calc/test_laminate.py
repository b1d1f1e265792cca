"""Thickness, mass and resin of a laminate."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.calc.laminate import (
    LaminateError,
    Ply,
    fibre_mass_fraction,
    fibre_volume_fraction,
    fraction_from_resin_ratio,
    iso_thickness_mm,
    laminate_density,
    laminate_totals,
    resin_ratio,
    thickness_mm,
)

fractions = st.floats(0.05, 0.95)
densities = st.floats(0.8, 3)
plies = st.lists(
    st.builds(
        Ply, st.floats(20, 2000), st.floats(0.2, 0.8), st.floats(0.1, 50), densities, densities, st.integers(1, 5)
    ),
    min_size=1,
    max_size=8,
)


@given(fractions, densities, densities)
def test_mass_fraction_to_volume_and_back_is_the_same(fraction, fibre, resin):
    volume = fibre_volume_fraction(fraction, fibre, resin)
    assert fibre_mass_fraction(volume, fibre, resin) == pytest.approx(fraction, rel=1e-12)


@given(fractions)
def test_resin_ratio_to_fraction_and_back_is_the_same(fraction):
    assert fraction_from_resin_ratio(resin_ratio(fraction)) == pytest.approx(fraction, rel=1e-12)


@given(plies)
def test_mass_is_fibre_and_resin(plies):
    totals = laminate_totals(plies)
    in_all = sum(ply.count * ply.areal_weight_gsm / ply.fibre_mass_fraction * ply.area_m2 for ply in plies)
    assert totals.fibre_g + totals.resin_g == pytest.approx(in_all, rel=1e-9)


@given(st.floats(20, 5000), fractions, densities, densities)
def test_thickness_times_density_is_mass(gsm, fraction, fibre, resin):
    per_area = thickness_mm(gsm, fraction, fibre, resin) * laminate_density(fraction, fibre, resin) * 1000
    assert per_area == pytest.approx(gsm / fraction, rel=1e-9)


@given(plies)
def test_order_of_plies_changes_nothing(plies):
    one, other = laminate_totals(plies), laminate_totals(plies[::-1])
    assert vars(one) == pytest.approx(vars(other))


@given(plies)
def test_overall_fraction_lies_between_those_of_the_plies(plies):
    each = [ply.fibre_mass_fraction for ply in plies]
    assert min(each) - 1e-9 <= laminate_totals(plies).fibre_mass_fraction <= max(each) + 1e-9


def test_overall_fraction_is_not_rounded():
    stack = [Ply(450, 0.30), Ply(2400, 0.39), Ply(500, 0.48)]
    assert laminate_totals(stack).fibre_mass_fraction == pytest.approx(
        3350 / (450 / 0.30 + 2400 / 0.39 + 500 / 0.48), rel=1e-12
    )


def test_voids_make_a_ply_thicker():
    assert thickness_mm(450, 0.30, void_fraction=0.05) == pytest.approx(thickness_mm(450, 0.30) / 0.95)


@pytest.mark.parametrize("fraction", [0, -0.3, 1.01, 30])
def test_fraction_that_cannot_be_is_refused(fraction):
    with pytest.raises(LaminateError, match="Write 30 % as 0.30"):
        thickness_mm(450, fraction)


def test_density_in_kg_per_cubic_metre_is_refused():
    with pytest.raises(LaminateError, match="g/cm³"):
        thickness_mm(450, 0.30, 2560, 1200)


@pytest.mark.parametrize("stack", [[], [Ply(450, 0.3, count=0)], [Ply(0, 0.3)], [Ply(450, 0.3, area_m2=0)]])
def test_laminate_of_nothing_is_refused(stack):
    with pytest.raises(LaminateError, match="at least one ply"):
        laminate_totals(stack)


def test_fibre_the_standard_does_not_know_is_refused():
    with pytest.raises(LaminateError, match="flax"):
        iso_thickness_mm(450, 0.30, "flax")
