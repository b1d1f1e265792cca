"""Readings from a file, however the logger ended its lines."""

import datetime

import pytest

from shopstock.calc.climate_file import ClimateFileError, read_climate_file

LINES = ("time,temperature_c,humidity", "2026-01-02 10:00,20.5,50", "")


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_are_read_whatever_ends_them(end):
    read = read_climate_file(end.join(LINES), datetime.UTC)
    assert (len(read.readings), read.wrong) == (1, ())


def test_cell_longer_than_any_table_has_is_refused():
    with pytest.raises(ClimateFileError, match="cannot be split into columns"):
        read_climate_file(f"{LINES[0]}\n{'x' * 140_000},20,50\n", datetime.UTC)
