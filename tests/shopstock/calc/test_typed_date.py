import datetime

import pytest

from shopstock.calc.typed_date import DateError, read_past_date

ON = datetime.date(2026, 3, 2)


@pytest.mark.parametrize(
    "text",
    [
        "2025-12-25", "2025/12/25", "2025-12-25T10:30", "25.12.2025", "25/12/2025", "12/25/2025", "25-12-2025",
        "25 Dec 2025", "25. December 2025", "25-Dec-2025", "Dec 25, 2025", datetime.datetime(2025, 12, 25, 9),  # noqa: DTZ001 - a spreadsheet knows no time zone

        datetime.date(2025, 12, 25),
    ],
)  # fmt: skip
def test_date_is_read_however_it_is_written(text):
    assert read_past_date(text, ON) == datetime.date(2025, 12, 25)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("02/03/2025", "“02/03/2025” can be read in two ways. Write 2025-03-02 or 2025-02-03."),
        ("2025-02-30", "“2025-02-30” is no day of the calendar. Write it like 2026-03-02."),
        ("13/13/2025", "“13/13/2025” is no day of the calendar. Write it like 2026-03-02."),
        ("3 Foo 2025", "“3 Foo 2025” is no date: Foo is no month. Write it like 2026-03-02."),
        ("yesterday", "“yesterday” is no date. Write it like 2026-03-02."),
        ("1/2/25", "“1/2/25” is no date. Write it like 2026-03-02."),
        ("2026-03-03", "2026-03-03 is still to come. Write the day on which it arrived."),
        ("1899-12-31", "1899-12-31 is too long ago. Check the year."),
    ],
)
def test_date_that_cannot_be_is_refused_with_how_to_write_it(text, message):
    with pytest.raises(DateError) as refused:
        read_past_date(text, ON)
    assert str(refused.value) == message
