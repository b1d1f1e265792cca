"""Dates as people and spreadsheets write them; what can be read in two ways is refused."""

import datetime
import re

OLDEST = datetime.date(1950, 1, 1)
HOW_TO_WRITE = "Write it like 2026-03-02."

_FULL_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_MONTHS = {short: number for number, name in enumerate(_FULL_MONTHS, start=1) for short in (name, name[:3])} | {
    "sept": 9
}
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}.*)?")
_POINTS = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
_SLASHES = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})")
_DAY_MONTH = re.compile(r"(\d{1,2})\.?[ -]([a-z]+)\.?,?[ -](\d{4})", re.IGNORECASE)
_MONTH_DAY = re.compile(r"([a-z]+)\.? (\d{1,2}),? (\d{4})", re.IGNORECASE)


class DateError(ValueError):
    """A typed date that cannot be read, or that cannot be; the message says how to write it."""


def read_past_date(cell: str | datetime.date, on: datetime.date) -> datetime.date:
    """A date not after ``on`` and not before 1950, from text or from a spreadsheet's own date.

    2026-03-02, 2.3.2026 (day first), 2 Mar 2026, Mar 2, 2026 and 25/12/2025 are read; 02/03/2026 could be two days and
    is refused. Raises DateError. Worked: "2 Mar 2026" → 2 March 2026.
    """
    date = _as_date(cell)
    if date > on:
        raise DateError(f"{date} is still to come. Write the day on which it arrived.")
    if date < OLDEST:
        raise DateError(f"{date} is too long ago. Check the year.")
    return date


def _as_date(cell: str | datetime.date) -> datetime.date:
    if isinstance(cell, datetime.datetime):
        return cell.date()
    return cell if isinstance(cell, datetime.date) else _from_text(" ".join(cell.split()))


def _from_text(text: str) -> datetime.date:
    if match := _ISO.fullmatch(text):
        return _date(text, *(int(part) for part in match.groups()))
    if match := _POINTS.fullmatch(text):
        day, month, year = (int(part) for part in match.groups())
        return _date(text, year, month, day)
    if match := _SLASHES.fullmatch(text):
        return _from_slashes(text, *(int(part) for part in match.groups()))
    if match := _DAY_MONTH.fullmatch(text):
        return _date(text, int(match[3]), _month(match[2], text), int(match[1]))
    if match := _MONTH_DAY.fullmatch(text):
        return _date(text, int(match[3]), _month(match[1], text), int(match[2]))
    raise DateError(f"“{text}” is no date. {HOW_TO_WRITE}")


def _from_slashes(text: str, first: int, second: int, year: int) -> datetime.date:
    if first == second or second > 12:
        return _date(text, year, first, second)
    if first > 12:
        return _date(text, year, second, first)
    one, other = _date(text, year, second, first), _date(text, year, first, second)
    raise DateError(f"“{text}” can be read in two ways. Write {one} or {other}.")


def _month(name: str, text: str) -> int:
    if name.lower() not in _MONTHS:
        raise DateError(f"“{text}” is no date: {name} is no month. {HOW_TO_WRITE}")
    return _MONTHS[name.lower()]


def _date(text: str, year: int, month: int, day: int) -> datetime.date:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        raise DateError(f"“{text}” is no day of the calendar. {HOW_TO_WRITE}") from None
