from decimal import Decimal

import pytest

from shopstock.calc.quantity import UnitError
from shopstock.calc.resin_amount import read_amount_g, read_density

POLYESTER = Decimal("1.100")


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("850 g", 850),
        ("1,2 kg", 1_200),
        ("2 lb", 907),  # 2 × 453.59237
        ("2 L", 2_200),
        ("1 gal", 4_164),  # 3.785411784 L × 1.10
        ("500 ml", 550),
    ],
)
def test_amount_by_mass_or_volume_is_whole_grams(text, grams):
    assert read_amount_g(text, POLYESTER) == grams


def test_amount_without_a_unit_is_refused_unless_one_is_understood():
    with pytest.raises(UnitError, match="grams or kilograms"):
        read_amount_g("500", POLYESTER)
    assert read_amount_g("20", POLYESTER, "kg") == 20_000


@pytest.mark.parametrize(
    ("text", "message"),
    [("3 m", "measures no amount"), ("-1 kg", "no amount"), ("200 t", "no amount"), ("some", "not a number")],
)
def test_amount_that_is_none_is_refused(text, message):
    with pytest.raises(UnitError, match=message):
        read_amount_g(text, POLYESTER)


@pytest.mark.parametrize(
    ("text", "density"),
    [("1.1", "1.100"), ("1,15 g/cm³", "1.150"), ("9.2 lb/gal", "1.102"), ("1150 kg/m3", "1.150"), ("0.79", "0.790")],
)
def test_density_in_any_unit_is_kept_in_kilograms_a_litre(text, density):
    assert read_density(text) == Decimal(density)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("115", r"No resin weighs 115 kg/L\. Did you mean 1\.15 kg/L\?"),
        ("1150", r"Did you mean 1\.15 kg/L\?"),
        ("11.5", r"Did you mean 1\.15 kg/L or 11\.5 lb/gal, which is 1\.378 kg/L\?"),
        ("9.2", r"Did you mean 0\.92 kg/L or 9\.2 lb/gal, which is 1\.102 kg/L\?"),
        ("0.1", "look on the data sheet"),
        ("50 kg", "measures no density"),
    ],
)
def test_density_no_resin_has_is_refused_with_the_likely_meaning(text, meant):
    with pytest.raises(UnitError, match=meant):
        read_density(text)
