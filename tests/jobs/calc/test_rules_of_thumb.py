"""Published rules of thumb."""

from decimal import Decimal

import pytest

from jobs.calc.rules_of_thumb import (
    RuleOfThumbError,
    cover_ft2_per_gal,
    film_thou,
    gallons_by_cover,
    layers_for_thickness,
)


def test_quarter_inch_of_ten_thou_layers_is_exactly_twenty_five():
    assert layers_for_thickness(Decimal("0.25"), Decimal("0.010")) == 25


def test_film_and_cover_undo_each_other():
    assert round(film_thou(cover_ft2_per_gal(Decimal(15))), 20) == 15


@pytest.mark.parametrize(
    "call",
    [
        lambda: cover_ft2_per_gal(Decimal(0)),
        lambda: gallons_by_cover(Decimal(100), Decimal(0)),
        lambda: layers_for_thickness(Decimal(1), Decimal(0)),
    ],
)
def test_rate_of_nothing_is_refused(call):
    with pytest.raises(RuleOfThumbError, match="above zero"):
        call()
