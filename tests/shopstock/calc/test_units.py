"""Typed text to stored numbers and back."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.quantity import UNITS, read_quantity, rounded
from shopstock.calc.units import (
    METRIC,
    US,
    UnitError,
    convert,
    format_areal_weight,
    format_length,
    format_mass,
    format_temperature,
    format_width,
    parse_areal_weight_gsm,
    parse_length_mm,
    parse_mass_g,
    parse_temperature_c,
    unit_of,
)


@pytest.mark.parametrize(
    "text",
    ["12 oz/yd²", "12 oz/yd2", "12 oz/yd^2", "12 oz/sq yd", "12 oz / sq. yd.", "12 ounces per square yard", "12oz/yd²",
     "12 OZ/YD²", "12 osy", "12,0 oz/yd²", "12 oz"],
)  # fmt: skip
def test_areal_weight_is_read_in_every_usual_spelling(text):
    assert parse_areal_weight_gsm(text, "cloth") == Decimal("406.87")


@pytest.mark.parametrize(
    "text", ["450 g/m²", "450 gsm", "450g/m2", "450 g/m^2", "450 g/sq m", "0.45 kg/m²", "450 g/qm"]
)
def test_grams_per_square_metre_are_read_in_every_usual_spelling(text):
    assert parse_areal_weight_gsm(text, "mat") == Decimal("450.00")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("50 in", 1270), ('50"', 1270), ("50″", 1270), ("50 inches", 1270), ("5' 6\"", 1676), ("5’6”", 1676),
        ("5 ft 6 1/2 in", 1689), ("1½ in", 38), ("1-1/2 in", 38), ("½ in", 13), ("55 m", 55000), ("12,5 m", 12500),
        ("1 200 mm", 1200), ("1.234,5 mm", 1235), ("1,234,567.4 mm", 1234567), ("0,125 m", 125), ("30 yds", 27432),
        ("127 cm", 1270), ("2 metres", 2000), ("0 m", 0), ("１２ m", 12000), ("1\u202f234\u202f567 mm", 1234567),
    ],
)  # fmt: skip
def test_length_is_read_and_rounded_once(text, mm):
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Type a number"),
        ("m", "not a number"),
        ("55", "Write the unit too"),
        ("1,200 mm", "Write 1200 or 1.200"),
        ("1 2 m", "two numbers"),
        ("1.5.2 m", "not a number"),
        ("-3 m", "cannot be negative"),
        ("1e9 m", "not a unit"),
        ("nan", "not a number"),
        ("10 oz", "does not measure a length"),
        ("5 yrd", "Did you mean yd"),
        ("11 km", "more than 10 km"),
        ("1/0 in", "divides by zero"),
        ("5 ft 6 m", "write inches"),
        ("9" * 5000 + " m", "Type a number"),
    ],
)
def test_length_that_cannot_be_read_says_what_to_do(text, says):
    with pytest.raises(UnitError, match=says):
        parse_length_mm(text)


def test_bare_length_takes_the_default_unit():
    assert parse_length_mm("55", "m") == 55000


@pytest.mark.parametrize(("text", "grams"), [("12,5 kg", 12500), ("30 lb", 13608), ("8 oz", 227), ("1 lb", 454)])
def test_mass_is_read_as_whole_grams(text, grams):
    assert parse_mass_g(text) == grams


@pytest.mark.parametrize(
    ("text", "celsius"), [("68 °F", "20.0"), ("68F", "20.0"), ("−18 °C", "-18.0"), ("20 deg C", "20.0")]
)
def test_temperature_is_read(text, celsius):
    assert parse_temperature_c(text) == Decimal(celsius)


def test_temperature_of_no_shop_is_refused():
    with pytest.raises(UnitError, match="°C or °F"):
        parse_temperature_c("1000 °C")


def test_convert_refuses_units_of_another_kind():
    with pytest.raises(UnitError, match="oz is a mass, g/m² is an areal weight"):
        convert(1, "oz", "g/m²")


def test_unknown_unit_names_the_nearest():
    with pytest.raises(UnitError, match="Did you mean oz/yd²"):
        unit_of("oz/yd")


@pytest.mark.parametrize(
    ("mm", "metric", "us"),
    [
        (0, "0 mm", "0 in"),
        (450, "450 mm", "17.72 in"),
        (1270, "1.27 m", "50 in"),
        (12500, "12.50 m", "41 ft 0.1 in"),
        (12345, "12.345 m", "40 ft 6 in"),
        (3047, "3.047 m", "119.96 in"),
        (3048, "3.048 m", "10 ft"),
        (1234567, "1\u202f234.567 m", "4\u202f050 ft 5 in"),
    ],
)
def test_length_is_shown_in_the_shops_units(mm, metric, us):
    assert (format_length(mm, METRIC), format_length(mm, US)) == (metric, us)


def test_width_is_shown_in_mm_or_inches():
    assert (format_width(1270, METRIC), format_width(1270, US)) == ("1270 mm", "50 in")


@pytest.mark.parametrize(
    ("grams", "metric", "us"), [(850, "850 g", "1.87 lb"), (12500, "12.50 kg", "27.56 lb"), (200, "200 g", "7.1 oz")]
)
def test_mass_is_shown_in_the_shops_units(grams, metric, us):
    assert (format_mass(grams, METRIC), format_mass(grams, US)) == (metric, us)


def test_temperature_is_shown_in_the_shops_units():
    assert (format_temperature(Decimal(18), METRIC), format_temperature(Decimal(18), US)) == ("18 °C", "64.4 °F")


def test_areal_weight_is_shown_in_both_units_of_its_form():
    assert format_areal_weight(Decimal("450.00"), "mat", METRIC) == "450 g/m² · 1.47 oz/ft²"
    assert format_areal_weight(Decimal("203.43"), "cloth", US) == "6.00 oz/yd² · 203.43 g/m²"


@given(st.integers(0, 9_999_999))
def test_shown_metric_length_reads_back_as_itself(mm):
    assert parse_length_mm(format_length(mm, METRIC)) == mm


@given(st.integers(0, 9_999_999))
def test_shown_us_length_reads_back_within_a_twentieth_of_an_inch(mm):
    assert abs(parse_length_mm(format_length(mm, US)) - mm) <= 2


same_kind = st.sampled_from(sorted(UNITS)).flatmap(
    lambda name: st.tuples(
        st.just(name), st.sampled_from(sorted(other for other in UNITS if UNITS[other].kind == UNITS[name].kind))
    )
)


@given(same_kind, st.decimals(min_value=-1000, max_value=1000, places=3))
def test_convert_there_and_back_gives_the_same_number(pair, value):
    there = convert(value, pair[0], pair[1])
    assert abs(convert(there, pair[1], pair[0]) - value) < Decimal("1e-12")


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_and_never_breaks(text):
    try:
        quantity = read_quantity(text)
    except UnitError:
        return
    assert quantity.unit is None or quantity.unit.symbol in UNITS


@given(st.text(alphabet="0123456789.,/-+ '\"½ftinmozyd²", max_size=14))
def test_any_near_quantity_is_read_or_refused_and_never_breaks(text):
    try:
        length = parse_length_mm(text, "m")
    except UnitError:
        return
    assert length >= 0


@given(st.decimals(min_value=-1000, max_value=1000, places=5))
def test_rounding_moves_a_number_by_half_a_step_at_most(number):
    assert abs(rounded(number, 2) - number) <= Decimal("0.005")


def test_unknown_unit_is_answered_with_a_few_examples_not_with_every_unit():
    with pytest.raises(UnitError, match="“fathoms” is not a unit known here. Write it like 12.5 m or 50 in, 12.5 kg"):
        unit_of("fathoms")
