"""Readings of temperature and humidity from a CSV file: every row read, or every wrong one named."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from shopstock.calc.climate import Reading, ReadingError, check_reading

TIME = ("time", "at", "date", "datetime", "timestamp")
CELSIUS = ("temperature_c", "temperature", "temp_c", "t_c", "°c")
FAHRENHEIT = ("temperature_f", "temp_f", "t_f", "°f")
HUMIDITY = ("humidity", "humidity_percent", "rh", "rh_percent", "%")
MOST_ROWS = 100_000


class ClimateFileError(ValueError):
    """A file that is not such a table."""


@dataclass(frozen=True)
class ClimateFile:
    """The readings in order of time, and a sentence for each wrong row with its line number."""

    readings: tuple[Reading, ...]
    wrong: tuple[str, ...]


def read_climate_file(text: str, zone: tzinfo) -> ClimateFile:
    """Rows with a moment, a temperature (°C, or °F under its own heading) and perhaps humidity (%).

    ``zone`` is taken for moments that name none. Comma, semicolon or tab; comma decimals where the comma does not part
    cells. Raises ClimateFileError when the headings are not there. A row that jumps is not wrong here: a file tells
    what was.
    """
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    head = text.partition("\n")[0]
    delimiter = next((mark for mark in ("\t", ";", ",") if mark in head), ",")
    try:
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter))
    except csv.Error:
        raise ClimateFileError("This cannot be split into columns. Save the readings as CSV again.") from None
    if not rows:
        raise ClimateFileError("The file is empty.")
    columns = _columns([cell.strip().lower() for cell in rows[0]])
    if len(rows) > MOST_ROWS:
        raise ClimateFileError(f"More than {MOST_ROWS} rows. Bring the file in part by part.")
    found, wrong = [], []
    for number, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        try:
            found.append(_reading(row, columns, zone))
        except ValueError as error:
            wrong.append(f"Line {number}: {error}")
    return ClimateFile(tuple(sorted(found, key=lambda reading: reading.at)), tuple(wrong))


def _columns(head: Sequence[str]) -> dict[str, int]:
    known = {"time": TIME, "celsius": CELSIUS, "fahrenheit": FAHRENHEIT, "humidity": HUMIDITY}
    columns = {kind: next((head.index(n) for n in names if n in head), -1) for kind, names in known.items()}
    if columns["time"] < 0 or columns["celsius"] < 0 and columns["fahrenheit"] < 0:
        raise ClimateFileError(
            "The first line must name the columns: time, temperature_c (or temperature_f) and humidity."
        )
    return columns


def _reading(row: Sequence[str], columns: dict[str, int], zone: tzinfo) -> Reading:
    cells = {kind: row[at].strip() if 0 <= at < len(row) else "" for kind, at in columns.items()}
    if cells["celsius"]:
        temperature_c = _number(cells["celsius"])
    else:
        temperature_c = round((_number(cells["fahrenheit"]) - 32) / 1.8, 1)
    humidity = _number(cells["humidity"].rstrip("% ")) if cells["humidity"] else None
    reading = Reading(_moment(cells["time"], zone), temperature_c, humidity)
    check_reading(reading)
    return reading


def _number(text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        raise ReadingError(f"“{text}” is no number.") from None
    if number != number:
        raise ReadingError(f"“{text}” is no number.")
    return number


def _moment(text: str, zone: tzinfo) -> datetime:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise ReadingError(f"“{text}” is no moment. Write it like 2026-03-02 14:30.") from None
    return at if at.tzinfo else at.replace(tzinfo=zone)
