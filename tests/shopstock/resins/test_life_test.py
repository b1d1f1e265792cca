"""Type I ends for good; Type II is extended by a test, once a test, by name."""

import datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Chemical, LifeTest
from tests.factories import NOON, TODAY, make_chemical, make_container, new_key


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def resin(db):
    window = {"gel_min_minutes": 10, "gel_max_minutes": 20}
    return make_chemical("Resin", life_type="II", extend_days=30, open_life_days=40, **window)


@pytest.fixture
def drum(clerk, resin):
    return make_container(by=clerk, chemical=resin, label_date=day(-1), received_on=day(-100))


def cup_of(drum, by, **changes):
    wish = {
        "tested_on": TODAY,
        "gel_minutes": Decimal(14),
        "cured": True,
        "result": "hard after 3 h",
        "new_end": day(30),
        "by": by,
        "at": NOON,
        "key": new_key(),
    }
    made = ledger.record_life_test(container=drum, **(wish | changes))
    drum.refresh_from_db()
    return made


def test_passed_test_extends_the_date_and_says_why(drum, clerk):
    made = cup_of(drum, clerk)
    assert (made.passed, made.old_end, made.new_end, made.by) == (True, day(-1), day(30), clerk)
    assert (drum.expires_on, drum.end.reason) == (day(30), "extended after a test on 2026-03-02 (label: 2026-03-01)")
    assert drum.movements.first().reason == "cup gelled in 14 min, cured; passed, good to 2026-04-01: hard after 3 h"
    ledger.draw(container=drum, mass_g=500, by=clerk, at=NOON, key="d")


@pytest.mark.parametrize(
    "changes", [{"gel_minutes": Decimal("9.9")}, {"gel_minutes": Decimal("20.1")}, {"cured": False}]
)
def test_failed_test_is_kept_and_extends_nothing(drum, clerk, changes):
    made = cup_of(drum, clerk, **changes)
    assert (made.passed, made.new_end, drum.expires_on) == (False, None, day(-1))


@pytest.mark.parametrize("gel_minutes", [10, 20])
def test_window_holds_its_own_ends(drum, clerk, gel_minutes):
    assert cup_of(drum, clerk, gel_minutes=Decimal(gel_minutes)).passed


def test_type_i_ends_for_good(drum, clerk):
    Chemical.objects.update(life_type="I")
    with pytest.raises(ledger.LifeEnds, match="ends for good on its date"):
        cup_of(drum, clerk)
    assert LifeTest.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"new_end": day(31)}, "extends by at most 30 days"),
        ({"new_end": day(0)}, "extends by at most 30 days"),
        ({"new_end": None}, "extends by at most 30 days"),
        ({"tested_on": day(1)}, "not in the future"),
        ({"tested_on": day(-101)}, "after the container came in"),
        ({"result": " "}, "Say what was seen"),
    ],
)
def test_test_that_cannot_be_is_refused(drum, clerk, changes, words):
    with pytest.raises(ledger.ContainerError, match=words):
        cup_of(drum, clerk, **changes)
    assert drum.expires_on == day(-1)


def test_each_test_extends_once_and_a_later_one_again(drum, clerk):
    cup_of(drum, clerk, tested_on=day(-5), new_end=day(20))
    with pytest.raises(ledger.ContainerError, match="Each test extends once"):
        cup_of(drum, clerk, tested_on=day(-5), new_end=day(24))
    assert cup_of(drum, clerk).new_end == day(30)


def test_test_sent_twice_is_one_test(drum, clerk):
    for _ in range(2):
        cup_of(drum, clerk, key="tap")
    assert LifeTest.objects.count() == 1


def test_product_without_a_window_cannot_be_tested(drum, clerk):
    Chemical.objects.update(gel_min_minutes=None)
    with pytest.raises(ledger.ContainerError, match="Copy its window from the data sheet"):
        cup_of(drum, clerk)


def test_open_life_counts_again_after_opening_later_than_the_test(clerk, resin):
    sealed = make_container(by=clerk, chemical=resin, label_date=day(20), received_on=day(-100))
    cup_of(sealed, clerk, tested_on=day(-3), new_end=day(27))
    opened = ledger.open_container(container=sealed, on=TODAY)
    assert opened.expires_on == day(27)
    Chemical.objects.update(open_life_days=10)
    opened.refresh_from_db()
    assert (opened.expires_on, opened.end.cause) == (day(10), "open life")


def test_page_offers_the_test_for_type_ii_and_keeps_the_result(client, clerk, drum):
    client.force_login(clerk)
    page = client.get(drum.get_absolute_url()).content.decode()
    assert reverse("container-test", args=[drum.code]) in page
    seen = {"gel_minutes": "14", "cured": "on", "result": "hard"}
    entry = seen | {"tested_on": "2026-03-02", "new_end": "2026-04-01", "key": "k"}
    answer = client.post(reverse("container-test", args=[drum.code]), entry, follow=True).content.decode()
    assert "passed: use it by 2026-04-01" in answer
    assert "2026-03-02: passed, good to 2026-04-01" in answer


def test_page_of_type_i_past_its_date_says_that_no_test_helps(client, clerk, drum):
    Chemical.objects.update(life_type="I")
    client.force_login(clerk)
    page = client.get(drum.get_absolute_url()).content.decode()
    assert "Its date ends it for good (Type I)" in page
    assert reverse("container-test", args=[drum.code]) not in page
