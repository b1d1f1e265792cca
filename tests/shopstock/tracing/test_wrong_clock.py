"""What stays right when the computer's clock was wrong for a while."""

import datetime

from django.urls import reverse

from shopstock import ledger
from shopstock.ledger_check import differences
from tests.factories import NOON, make_roll, new_key
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

DAY = datetime.timedelta(days=1)


def test_clock_that_was_wrong_for_a_while_leaves_todays_stock_and_the_ledger_right(client, clerk):
    """The computer came up a year ahead; its clock was put right between the first cut and the second."""
    roll = make_roll(by=clerk, length_mm=20_000, at=NOON + 365 * DAY)
    for length_mm, at in ((1_000, NOON + 366 * DAY), (4_000, NOON)):
        ledger.record_cut(roll=roll, length_mm=length_mm, by=clerk, at=at, key=new_key(), reason="x")
    client.force_login(clerk)
    rows = client.get(reverse("stock-on")).context["table"].data
    assert [(row["rolls"], row["length_mm"]) for row in rows] == [(1, 15_000)]
    assert list(differences()) == []
