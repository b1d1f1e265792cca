import pytest

from shopstock.calc.positions import PositionError, read_positions
from shopstock.calc.units import UnitError


@pytest.mark.parametrize(
    ("text", "stretches"),
    [
        ("", []),
        ("12.5", [(12_450, 12_550)]),
        ("12.5, 30", [(12_450, 12_550), (29_950, 30_050)]),
        ("12,5; 30", [(12_450, 12_550), (29_950, 30_050)]),
        ("3.2–3.6", [(3_200, 3_600)]),
        ("3.2-3.6 ; 10 to 11", [(3_200, 3_600), (10_000, 11_000)]),
        ("3-4 ft", [(914, 1_219)]),
        ("800 mm - 1.2 m", [(800, 1_200)]),
        ("0", [(0, 50)]),
        ("5\n6", [(4_950, 5_050), (5_950, 6_050)]),
    ],
)
def test_positions_are_read_as_a_person_writes_them(text, stretches):
    assert read_positions(text, "m") == stretches


def test_comma_that_could_part_two_positions_is_refused():
    with pytest.raises(PositionError, match="“12,30” can be read in two ways. Write 12.30, or 12; 30 for two places."):
        read_positions("12,30", "m")


def test_bare_position_takes_the_unit_of_the_shop():
    assert read_positions("10", "ft") == [(2_998, 3_098)]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("4–3", "ends before it starts"),
        ("3–", "is no place on a roll"),
        ("1–2–3", "is no place on a roll"),
        ("near the end", "is not a number with a unit"),
        ("-3", "cannot be negative"),
        ("3 kg", "does not measure a length"),
    ],
)
def test_position_that_makes_no_sense_is_refused_with_the_reason(text, message):
    with pytest.raises(UnitError, match=message):
        read_positions(text, "m")
