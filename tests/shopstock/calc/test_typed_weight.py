from decimal import Decimal

import pytest

from shopstock.calc.areal_weight import AmbiguousWeight, ImplausibleWeight
from shopstock.calc.typed_weight import read_areal_weight


@pytest.mark.parametrize(
    ("text", "form", "gsm"),
    [
        ("1.5", "mat", "457.73"),
        ("1.5 oz", "mat", "457.73"),
        ("450 g/m2", "mat", "450.00"),
        ("12", "cloth", "406.87"),
        ("18 oz", "woven_roving", "610.30"),
    ],
)
def test_weight_is_read_in_the_unit_typed_or_the_trades_unit_of_the_form(text, form, gsm):
    assert read_areal_weight(text, form) == Decimal(gsm)


@pytest.mark.parametrize(
    ("text", "form", "meant"),
    [
        ("1.5 oz/yd²", "mat", "1.5 oz/ft²"),
        ("450 oz", "mat", "450 g/m²"),
        ("450", "mat", "450 g/m²"),
        ("20", "cloth", "20 oz/yd²"),
    ],
)
def test_weight_that_means_another_unit_is_refused_with_what_was_meant(text, form, meant):
    with pytest.raises(AmbiguousWeight) as refused:
        read_areal_weight(text, form)
    assert meant in str(refused.value)


def test_a_million_is_refused():
    with pytest.raises(ImplausibleWeight):
        read_areal_weight("1000000 g/m²", "mat")
