from datetime import date

import pytest

from shopstock.calc.label_date import LabelDateError, read_label_date


@pytest.mark.parametrize(
    "text", ["2026-08-31", "2026-08", "08/2026", "8.2026", "31.08.2026", " 2026 08 31 ", "31/08/2026", "08/31/2026"]
)
def test_label_date_in_any_plain_spelling_is_the_last_of_august(text):
    assert read_label_date(text) == date(2026, 8, 31)


def test_label_with_a_month_only_knows_leap_years():
    assert (read_label_date("2028-02"), read_label_date("2026-02")) == (date(2028, 2, 29), date(2026, 2, 28))


def test_same_number_twice_can_be_read_in_one_way_only():
    assert read_label_date("05/05/2026") == date(2026, 5, 5)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("03/04/2026", "Write 2026-04-03 or 2026-03-04"),
        ("2026-13", "no month 13"),
        ("2026-02-30", "from 1 to 28"),
        ("2026-08-00", "from 1 to 31"),
        ("1926-08", "no year of this trade"),
        ("08/26", "no date"),
        ("soon", "no date"),
        ("", "no date"),
    ],
)
def test_label_date_that_says_too_little_or_nonsense_is_refused(text, message):
    with pytest.raises(LabelDateError, match=message):
        read_label_date(text)
