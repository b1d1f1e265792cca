from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.areal_weight import LayersDoNotAddUp
from shopstock.calc.layers import (
    LayerError,
    LayerWeight,
    read_layers,
    turning_allowed,
    turnings_to_choose,
    write_layers,
)
from shopstock.calc.quantity import UnitError

WEIGHTS = st.integers(5_000, 200_000).map(lambda hundredths: Decimal(hundredths).scaleb(-2))
LAYERS = st.lists(st.builds(LayerWeight, st.none() | st.integers(-89, 90), WEIGHTS), min_size=1, max_size=8)


@pytest.mark.parametrize(
    ("text", "form", "total", "written"),
    [
        ("300 @ 0, 300 @ 90", "stitched", "600", "300 @ 0, 300 @ 90"),
        ("300@0,300@90", "stitched", "600", "300 @ 0, 300 @ 90"),
        ("400 @ ±45°", "stitched", "400", "200 @ +45, 200 @ -45"),
        ("200 @ 135; 200 @ 45", "stitched", "400", "200 @ -45, 200 @ +45"),
        ("12,5 oz/yd² @ 45\n12.5 oz @ -45", "stitched", "848", "423.82 @ +45, 423.82 @ -45"),
        ("17 oz @ 0, 0.75 oz random", "combination", "805", "576.4 @ 0, 228.86 random"),
        ("", "mat", "450", "450 random"),
        ("", "cloth", "200.01", "100.01 @ 0, 100 @ 90"),
        ("", "unidirectional", "300", "300 @ 0"),
    ],
)
def test_layers_are_read_as_typed_or_as_usual_for_the_form(text, form, total, written):
    assert write_layers(read_layers(text, form, Decimal(total))) == written


@pytest.mark.parametrize(
    ("text", "error", "message"),
    [
        ("300", LayerError, "“300” is no layer. Write weight @ angle, such as 300 @ 0, 300 @ 90."),
        ("300 @ 0, 300", LayerError, "“300” is no layer. Write weight @ angle, such as 300 @ 0, 300 @ 90."),
        ("300 @ 200", LayerError, "200° is no direction of a fabric. Count from the warp: -90 to 90."),
        ("0 @ 0", LayerError, "A layer weighs more than nothing: “0”."),
        (
            "5 m @ 0",
            UnitError,
            "m is not a weight per area. Write layers in g/m² or oz/yd², such as 300 @ 0, 300 @ 90.",
        ),
        (
            "",
            LayerError,
            "The layers of a stitched multiaxial differ by maker: type them from the data sheet, such as "
            "300 @ +45, 300 @ -45.",
        ),
    ],
)
def test_layers_that_make_no_sense_are_refused_with_what_to_write(text, error, message):
    with pytest.raises(error) as refused:
        read_layers(text, "stitched", Decimal(600))
    assert str(refused.value) == message


@pytest.mark.parametrize(("second", "fits"), [("282", True), ("281", False), ("318", True), ("319", False)])
def test_layers_may_differ_from_the_weight_by_three_per_cent(second, fits):
    try:
        read_layers(f"300 @ 0, {second} @ 90", "stitched", Decimal(600))
    except LayersDoNotAddUp:
        assert not fits
    else:
        assert fits


@pytest.mark.parametrize(
    ("text", "total", "turning"),
    [
        ("450 random", 450, "any"),
        ("300 @ 0, 300 @ 90", 600, "balanced"),
        ("300 @ 0, 290 @ 90", 590, "balanced"),
        ("300 @ 0, 250 @ 90", 550, "never"),
        ("300 @ ±45", 300, "balanced"),
        ("300 @ 0", 300, "never"),
        ("400 @ 0, 200 @ 45, 200 @ -45", 800, "never"),
        ("300 @ 0, 300 @ 90, 225 random", 825, "balanced"),
    ],
)
def test_turning_follows_from_the_layers(text, total, turning):
    assert turning_allowed(read_layers(text, "stitched", Decimal(total))) == turning


def test_unidirectional_offers_no_turning():
    assert turnings_to_choose([LayerWeight(0, Decimal(300))]) == ("never",)


@given(LAYERS)
def test_layers_written_are_read_back_the_same(layers):
    total = sum(layer.areal_weight_gsm for layer in layers)
    assert list(read_layers(write_layers(layers), "stitched", total)) == layers
