"""What lay on the racks at the end of a day."""

import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from tests.factories import NOON, make_reinforcement, make_roll, new_key

DAY = datetime.timedelta(days=1)


@pytest.fixture
def cloth(clerk):
    """Received on 2 March, cut by 5 m on the 4th and used up on the 6th; a second roll came on the 5th."""
    cloth = make_reinforcement("woven roving 600")
    roll = make_roll(by=clerk, reinforcement=cloth, length_mm=20_000)
    for days, length_mm in ((2, 5_000), (4, 15_000)):
        ledger.record_cut(roll=roll, length_mm=length_mm, by=clerk, at=NOON + days * DAY, key=new_key(), reason="x")
    make_roll(by=clerk, reinforcement=cloth, length_mm=30_000, at=NOON + 3 * DAY)
    return cloth


@pytest.mark.parametrize(
    ("on", "rolls", "length_mm"),
    [
        ("2026-03-01", 0, 0),
        ("2026-03-02", 1, 20_000),
        ("2026-03-03", 1, 20_000),
        ("2026-03-04", 1, 15_000),
        ("2026-03-05", 2, 45_000),
        ("2026-03-06", 1, 30_000),
        ("2030-01-01", 1, 30_000),
    ],
)
def test_stock_at_the_end_of_a_day(client, clerk, cloth, on, rolls, length_mm):
    client.force_login(clerk)
    rows = client.get(reverse("stock-on"), {"on": on}).context["table"].data
    assert [(row["rolls"], row["length_mm"]) for row in rows] == ([(rolls, length_mm)] if rolls else [])


@pytest.mark.parametrize("on", ["", "yesterday", "0001-01-01", "9999-12-31", "2026-02-30"])
def test_day_that_makes_no_sense_is_said_and_today_shown(client, clerk, cloth, on):
    client.force_login(clerk)
    page = client.get(reverse("stock-on"), {"on": on})
    assert ('class="error"' in page.content.decode(), page.status_code) == (True, 200)
