import datetime

import pytest

from jobs.calc.day_or_week import DayError, read_day_or_week

ON = datetime.date(2026, 3, 4)  # a Wednesday, in week 10


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-05-04", "2026-05-04"),
        ("2026-W20", "2026-05-11"),  # ISO 8601 calendar, weeks as printed in any diary
        ("2026-w01", "2025-12-29"),  # the first week holds the year's first Thursday
        ("W20", "2026-05-11"),
        ("week 20", "2026-05-11"),
        ("W10", "2026-03-04"),  # the week that lasts: not before today
        ("week 9", "2027-03-01"),  # gone by: that of next year
        ("2026-W53", "2026-12-28"),
    ],
)
def test_day_or_week_as_people_type_it(text, day):
    assert str(read_day_or_week(text, ON)) == day


@pytest.mark.parametrize("text", ["", "soon", "2026-02-30", "2026-W54", "2027-W53", "W0", "W99", "0000-W01", "9" * 99])
def test_what_is_no_day_says_how_to_write_one(text):
    with pytest.raises(DayError, match="Write a day like 2026-05-04 or a week like 2026-W20"):
        read_day_or_week(text, ON)
