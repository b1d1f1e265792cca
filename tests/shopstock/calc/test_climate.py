from datetime import UTC, datetime, timedelta

import pytest

from shopstock.calc.climate import Band, Reading, check_reading, mean_reading, outside, rested, stretches_of
from shopstock.calc.climate_picture import climate_picture

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
FABRIC = Band(10, 35, 75)


def at(hours: float, temperature_c: float = 20.0, humidity: float | None = 50.0) -> Reading:
    return Reading(NOON + timedelta(hours=hours), temperature_c, humidity)


@pytest.mark.parametrize(
    ("temperature_c", "humidity", "words"),
    [
        (10, 75, []),
        (35, None, []),
        (9.9, 75, ["9.9 °C is below 10 °C"]),
        (35.1, 75, ["35.1 °C is above 35 °C"]),
        (20, 75.1, ["75.1 % is above 75 % humidity"]),
        (38, 80, ["38 °C is above 35 °C", "80 % is above 75 % humidity"]),
    ],
)
def test_reading_is_outside_a_band_only_beyond_its_ends(temperature_c, humidity, words):
    assert outside(at(0, temperature_c, humidity), FABRIC) == words


def test_two_bands_leave_what_both_allow():
    assert FABRIC.narrowed_by(Band(None, 25, 80)) == Band(10, 25, 75)


def test_jump_of_a_day_ago_is_not_asked_about():
    check_reading(at(25, 45), at(0, 20))


def test_glass_without_readings_is_neither_rested_nor_not():
    assert rested(72, None, at(0)).rested is None


def test_glass_in_shop_air_for_two_days_has_rested_without_readings():
    assert (rested(48, None, None, in_shop=True).rested, rested(47, None, None, in_shop=True).rested) == (True, False)


def test_readings_are_parted_where_none_came_for_longer_than_the_gap():
    readings = [at(hours) for hours in (0, 1, 2, 9, 10)]
    assert [len(stretch) for stretch in stretches_of(readings)] == [3, 2]
    assert [len(stretch) for stretch in stretches_of([at(0), at(6)])] == [2]


def test_mean_leaves_out_humidity_that_was_not_measured():
    assert mean_reading([at(0, 18, None), at(1, 22, 60)]) == at(1, 20, 60)


def test_picture_draws_a_line_a_stretch_and_a_dot_for_a_lonely_reading():
    stretches = [[(NOON, 20.0), (NOON + timedelta(hours=1), 21.0)], [(NOON + timedelta(hours=9), 30.0)]]
    picture = climate_picture(stretches, start=NOON, end=NOON + timedelta(hours=12), low=10, high=25, unit="°C")
    assert (len(picture.lines), len(picture.dots)) == (1, 1)
    assert picture.dots[0][1] < picture.band_top  # 30 °C lies above the band


def test_picture_without_readings_still_has_a_scale():
    assert len(climate_picture([], start=NOON, end=NOON + timedelta(days=7), unit="%").across) > 1
