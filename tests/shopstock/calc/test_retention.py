import datetime

import pytest

from shopstock.calc.retention import days_to_drop


def march(*days: int) -> list[datetime.date]:
    return [datetime.date(2026, 3, day) for day in days]


@pytest.mark.parametrize(
    ("days", "keep_days", "keep_months", "dropped"),
    [
        (march(1, 2, 20), 7, 1, march(2)),
        (march(1, 2, 20), 7, 0, march(1, 2)),
        (march(14, 15, 21), 7, 0, march(14)),
        (march(14), 7, 0, []),
        (march(20, 21, 25), 1, 0, march(20)),
        ([], 1, 0, []),
    ],
    ids=["first of the month stays", "no months", "edge of the days", "newest stays", "days after today", "nothing"],
)
def test_days_to_drop(days, keep_days, keep_months, dropped):
    on = datetime.date(2026, 3, 21)
    assert days_to_drop(days, on=on, keep_days=keep_days, keep_months=keep_months) == dropped


def test_a_year_of_daily_backups_leaves_two_weeks_and_twelve_months():
    on = datetime.date(2026, 12, 31)
    days = {on - datetime.timedelta(days=back) for back in range(500)}
    left = days - set(days_to_drop(days, on=on, keep_days=14, keep_months=12))
    assert (len(left), min(left)) == (26, datetime.date(2026, 1, 1))


@pytest.mark.parametrize(("keep_days", "keep_months"), [(0, 1), (1, -1)])
def test_keeping_nothing_is_refused(keep_days, keep_months):
    with pytest.raises(ValueError, match="at least one day"):
        days_to_drop([], on=datetime.date(2026, 3, 21), keep_days=keep_days, keep_months=keep_months)
