"""The defaults of forms, fibres and weaves."""

import pytest

from shopstock.calc.forms import FIBRES, FORMS, UnknownForm, fibre_of, form_of, turns_allowed


def test_only_mat_is_named_by_the_square_foot():
    assert [form.key for form in FORMS.values() if form.trade_unit == "oz/ft²"] == ["mat"]


def test_only_layered_fabrics_need_layers():
    assert [form.key for form in FORMS.values() if form.needs_layers] == ["combination", "stitched"]


def test_mat_and_woven_roving_may_be_ten_per_cent_off():
    assert {form_of(key).weight_tolerance_percent for key in ("mat", "woven_roving")} == {10}


@pytest.mark.parametrize(
    ("form", "balanced", "turns"),
    [
        ("mat", False, (0, 90)),
        ("cloth", True, (0, 90)),
        ("cloth", False, (0,)),
        ("unidirectional", True, (0,)),
        ("tape", True, (0,)),
    ],
)
def test_turns_depend_on_form_and_balance(form, balanced, turns):
    assert turns_allowed(form, balanced=balanced) == turns


def test_fibre_densities_rank_as_fibres_do():
    ranked = sorted(FIBRES.values(), key=lambda fibre: fibre.density_g_per_cm3)
    assert [f.key for f in ranked] == ["polyethylene", "flax", "aramid", "carbon", "s_glass", "e_glass", "basalt"]


def test_unknown_fibre_is_refused_with_the_fibres():
    with pytest.raises(UnknownForm, match="e_glass"):
        fibre_of("glas")
