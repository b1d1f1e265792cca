"""A day, or a calendar week, as the shop types it."""

import re
from datetime import date, timedelta

HOW = "Write a day like 2026-05-04 or a week like 2026-W20."
_WEEK = re.compile(r"(?:([1-9]\d{3})[ -]?)?(?:w|week|wk|kw)\.? ?(\d{1,2})", re.IGNORECASE)
_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")


class DayError(ValueError):
    """Text that is neither a day nor a week; the message says how to write it."""


def read_day_or_week(text: str, on: date) -> date:
    """The day that is meant: the day itself, or the Monday of a week, but not before ``on`` while that week lasts.

    A week without its year is the next of that number. Raises DayError. Source: weeks by ISO 8601, the first has the
    year's first Thursday. Worked: "2026-W20" → Monday 11 May 2026; "week 1" on 2 March 2026 → 4 January 2027.
    """
    text = " ".join(text.split())
    try:
        if match := _DAY.fullmatch(text):
            return date(*map(int, match.groups()))
        if match := _WEEK.fullmatch(text):
            return _monday(match[1] and int(match[1]), int(match[2]), on)
    except ValueError:
        raise DayError(f"There is no “{text}” in the calendar. {HOW}") from None
    raise DayError(f"“{text[:40]}” is neither a day nor a week. {HOW}")


def _monday(year: int | None, week: int, on: date) -> date:
    monday = date.fromisocalendar(year or on.isocalendar().year, week, 1)
    if year is None and monday + timedelta(days=6) < on:
        monday = date.fromisocalendar(on.isocalendar().year + 1, week, 1)
    return on if monday < on <= monday + timedelta(days=6) else monday
