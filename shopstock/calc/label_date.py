"""Reading the use-by date of a label as people type it, and refusing what can be read in two ways."""

import calendar
import re
from datetime import date

_YEAR_FIRST = re.compile(r"(?P<year>\d{4})[-/. ](?P<month>\d{1,2})(?:[-/. ](?P<day>\d{1,2}))?")
_DAY_FIRST = re.compile(r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4})")
_MONTH_AND_YEAR = re.compile(r"(?P<month>\d{1,2})[-/. ](?P<year>\d{4})")
_SLASHED = re.compile(r"(?P<first>\d{1,2})[-/](?P<second>\d{1,2})[-/](?P<year>\d{4})")
EARLIEST_YEAR, LATEST_YEAR = 2000, 2099


class LabelDateError(ValueError):
    """A date that cannot be read; the message says how to write it."""


def read_label_date(text: str) -> date:
    """The day a label names; a label that names only a month is good until the month's last day.

    ``text`` as typed. Raises LabelDateError for no date, a day that does not exist or a date that can be read in two
    ways. Source: common trade practice for a month without a day. Worked: "2026-08" → 31 August 2026; "31.08.2026" and
    "2026-08-31" → the same; "03/04/2026" is refused.
    """
    words = " ".join(text.split())
    for pattern in (_YEAR_FIRST, _DAY_FIRST, _MONTH_AND_YEAR):
        if match := pattern.fullmatch(words):
            return _day(match.groupdict(), words)
    if match := _SLASHED.fullmatch(words):
        return _slashed(int(match["first"]), int(match["second"]), int(match["year"]), words)
    raise LabelDateError(f"“{words}” is no date. Write it like 2026-08-31, or 2026-08 when the label has no day.")


def _day(parts: dict[str, str | None], words: str) -> date:
    year, month = int(parts["year"]), int(parts["month"])
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        raise LabelDateError(f"“{words}” lies in no year of this trade. Check the year.")
    if not 1 <= month <= 12:
        raise LabelDateError(f"“{words}” has no month {month}. Write year, month, day, like 2026-08-31.")
    last = calendar.monthrange(year, month)[1]
    day = int(parts.get("day") or last)
    if not 1 <= day <= last:
        raise LabelDateError(f"“{words}”: that month runs from 1 to {last}. Check the day.")
    return date(year, month, day)


def _slashed(first: int, second: int, year: int, words: str) -> date:
    """Day and month in an order that only one reading allows."""
    if first <= 12 and second <= 12 and first != second:
        readings = f"{year}-{second:02}-{first:02} or {year}-{first:02}-{second:02}"
        raise LabelDateError(f"“{words}” can be read in two ways. Write {readings}.")
    day, month = (first, second) if first > 12 or first == second else (second, first)
    return _day({"year": str(year), "month": str(month), "day": str(day)}, words)


def names_a_month(text: str) -> bool:
    """Whether a label names only a month, so that its last day counts. Worked: "2026-08" → True; "31.08.2026" → no."""
    words = " ".join(text.split())
    match = _YEAR_FIRST.fullmatch(words)
    return bool(_MONTH_AND_YEAR.fullmatch(words) or (match and match["day"] is None))
