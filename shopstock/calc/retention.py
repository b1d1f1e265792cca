"""Which backups are kept: every day for a while, then one a month."""

import datetime
from collections.abc import Collection


def days_to_drop(
    days: Collection[datetime.date], *, on: datetime.date, keep_days: int, keep_months: int
) -> list[datetime.date]:
    """The days whose backups may go, oldest first.

    `days`: days of which there is a backup. `on`: today. `keep_days`: every backup of so many days, today's included.
    `keep_months`: the first backup of each of so many months, this one included. The newest is never dropped; days
    after today (a clock that was wrong) are kept. Raises ValueError for fewer than one day or less than no months.
    Worked: backups of 1, 2 and 20 March, on 21 March, 7 days and 1 month: only 2 March goes.
    """
    if keep_days < 1 or keep_months < 0:
        raise ValueError("Keep at least one day, and no fewer than no months.")
    oldest_month = (on.year * 12 + on.month - 1) - keep_months + 1
    first_of_month: dict[int, datetime.date] = {}
    for day in sorted(days):
        first_of_month.setdefault(day.year * 12 + day.month - 1, day)
    monthly = {day for month, day in first_of_month.items() if month >= oldest_month}
    newest = max(days, default=None)
    return sorted(
        day for day in days if day != newest and day not in monthly and day <= on - datetime.timedelta(days=keep_days)
    )
