"""Which areal weights are believed, and what is said of the rest."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.areal_weight import (
    AmbiguousWeight,
    ImplausibleWeight,
    LayersDoNotAddUp,
    check_areal_weight,
    check_layers,
    layers_total_gsm,
)
from shopstock.calc.forms import FORMS, OZ_PER_SQUARE_FOOT, OZ_PER_SQUARE_YARD, UnknownForm
from shopstock.calc.quantity import UnitError


@pytest.mark.parametrize("ounces", ["0.5", "0.75", "1", "1.5", "2", "3"])
def test_mat_sizes_by_the_square_yard_are_taken_for_square_feet(ounces):
    with pytest.raises(AmbiguousWeight) as caught:
        check_areal_weight(Decimal(ounces), OZ_PER_SQUARE_YARD, "mat")
    assert (caught.value.likely[0].number, caught.value.likely[0].unit) == (Decimal(ounces), OZ_PER_SQUARE_FOOT)


@pytest.mark.parametrize("ounces", ["3.7", "6", "10", "18", "24.9"])
def test_cloth_sizes_by_the_square_foot_are_refused_where_no_cloth_is_so_heavy(ounces):
    if Decimal(ounces) * Decimal("305.15") < 1400:
        assert check_areal_weight(Decimal(ounces), OZ_PER_SQUARE_FOOT, "cloth") > 1000
        return
    with pytest.raises(AmbiguousWeight, match="oz/yd²"):
        check_areal_weight(Decimal(ounces), OZ_PER_SQUARE_FOOT, "cloth")


def test_weight_without_a_unit_is_refused_with_the_likely_meaning():
    with pytest.raises(AmbiguousWeight, match=r"1\.5 has no unit\. Did you mean 1\.5 oz/ft² \(457\.73 g/m²\)\?"):
        check_areal_weight(Decimal("1.5"), None, "mat")


@pytest.mark.parametrize("form", sorted(FORMS))
def test_a_million_is_refused_for_every_form(form):
    with pytest.raises(ImplausibleWeight) as caught:
        check_areal_weight(Decimal(1_000_000), "g/m²", form)
    assert not isinstance(caught.value, AmbiguousWeight)


def test_unit_that_is_no_weight_per_area_is_refused():
    with pytest.raises(UnitError, match="kg is not a weight per area"):
        check_areal_weight(Decimal(12), "kg", "cloth")


def test_unknown_form_is_refused_with_the_forms():
    with pytest.raises(UnknownForm, match="woven_roving"):
        check_areal_weight(Decimal(12), "oz", "clothe")


@given(st.sampled_from(sorted(FORMS)), st.decimals(min_value="0.01", max_value=100_000, places=2))
def test_whatever_is_believed_lies_in_the_range_of_its_form(form, number):
    for unit in ("g/m²", "oz", OZ_PER_SQUARE_FOOT, OZ_PER_SQUARE_YARD):
        try:
            gsm = check_areal_weight(number, unit, form)
        except ImplausibleWeight:
            continue
        assert FORMS[form].lightest_gsm <= gsm <= FORMS[form].heaviest_gsm


def test_layers_may_differ_from_the_total_by_three_per_cent():
    assert check_layers(Decimal(100), [Decimal(60), Decimal(43)]) == 103


def test_layers_that_differ_by_more_are_refused():
    with pytest.raises(LayersDoNotAddUp, match=r"come to 103\.1 g/m² but the fabric is given as 100 g/m²"):
        check_layers(Decimal(100), [Decimal(60), Decimal("43.1")])


def test_layers_in_their_own_units_add_to_one_total():
    total = layers_total_gsm([(Decimal(15), "oz/yd²"), (Decimal("0.75"), "oz/ft²")])
    assert round(total, 2) == Decimal("737.45")
