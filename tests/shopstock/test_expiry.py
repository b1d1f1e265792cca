import datetime

import pytest

from shopstock import ledger
from shopstock.expiry import IN_DATE, NEAR, PAST, in_issue_order, reason_of, state_of, to_take_before, with_last_day
from shopstock.models import Container
from tests.factories import NOON, TODAY, make_chemical, make_container, new_key


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def resin(db):
    return make_chemical(open_life_days=30)


@pytest.mark.parametrize(("last", "state"), [(-1, PAST), (0, NEAR), (30, NEAR), (31, IN_DATE)])
def test_state_turns_on_the_day_after_the_last_day_and_at_the_window(clerk, last, state):
    drum = make_container(by=clerk, label_date=day(last))
    assert state_of(drum, on=TODAY, warning_days=30) == state


def test_reason_is_the_label_until_the_open_life_ends_earlier(clerk, resin):
    drum = make_container(by=clerk, chemical=resin, label_date=day(120))
    assert reason_of(drum) == "date on the label"
    opened = ledger.open_container(container=drum, on=TODAY)
    assert reason_of(opened) == "30 days after it was opened on 2026-03-02 (label: 2026-06-30)"


def test_last_day_in_the_database_is_the_same_as_on_the_container(clerk, resin):
    for number, (chemical, label, opened) in enumerate(
        [(resin, 120, 0), (resin, 10, 0), (resin, 120, None), (make_chemical(), 120, 0)]
    ):
        make_container(
            by=clerk,
            chemical=chemical,
            label_date=day(label),
            opened_on=None if opened is None else day(opened),
            batch=str(number),
        )
    rows = with_last_day(Container.objects.select_related("chemical")).order_by("batch")
    assert [row.last_day for row in rows] == [row.expires_on for row in rows] == [day(30), day(10), day(120), day(120)]


def test_container_to_take_before_is_the_one_that_ends_first_and_is_in_date(clerk, resin):
    make_container(by=clerk, chemical=resin, label_date=day(-1))
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    later = make_container(by=clerk, chemical=resin, label_date=day(50))
    make_container(by=clerk, label_date=day(1))
    assert to_take_before(later, on=TODAY) == first
    assert to_take_before(first, on=TODAY) is None


def test_two_alike_may_be_taken_either_way(clerk, resin):
    twins = [make_container(by=clerk, chemical=resin) for _ in range(2)]
    assert [to_take_before(twin, on=TODAY) for twin in twins] == [None, None]


def test_used_up_container_is_never_the_one_to_take_before(clerk, resin):
    first = make_container(by=clerk, chemical=resin, label_date=day(5))
    later = make_container(by=clerk, chemical=resin, label_date=day(50))
    ledger.draw(container=first, mass_g=20_000, by=clerk, at=NOON, key=new_key())
    assert to_take_before(later, on=TODAY) is None


def test_issue_order_puts_the_opened_one_before_the_sealed_one(clerk):
    resin = make_chemical()
    sealed = make_container(by=clerk, chemical=resin, received_on=day(-9))
    opened = make_container(by=clerk, chemical=resin, opened_on=TODAY)
    assert in_issue_order([sealed, opened], on=TODAY) == [opened, sealed]
