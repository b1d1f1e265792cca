"""Orders changed by a second tap, on a page left open, or late in the evening."""

import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdfium2 import PdfDocument

from shopstock.models import Offer, Order, OrderLine, Shop
from shopstock.ordering import actions
from shopstock.ordering.actions import OrderError
from shopstock.ordering.deliveries import candidates
from shopstock.ordering.paper import order_as_pdf
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def order(owner) -> Order:
    roving = make_reinforcement("woven roving 600", supplier=make_supplier(lead_time_days=14))
    made = actions.new_order(supplier=roving.supplier, expected_on=day(10), by=owner, at=NOON, key="first")
    for packs in (2, 1):
        OrderLine.objects.create(
            order=made, reinforcement=roving, width_mm=1250, length_mm=50_000, packs=packs, price=Decimal("120")
        )
    return made


@pytest.fixture
def page(client, owner):
    client.force_login(owner)

    def tapped_twice(name: str, pk: int) -> tuple[list[str], list[str]]:
        """What is said after the first and after the second tap."""
        said = []
        for _ in range(2):
            answer = client.post(reverse(name, args=[pk]), follow=True)
            assert answer.status_code == 200
            said.append([str(message) for message in answer.context["messages"]])
        return tuple(said)

    return tapped_twice


def test_line_taken_off_twice_is_off_and_the_second_tap_says_so(page, order):
    line = order.lines.first()
    first, second = page("order-line-remove", line.pk)
    assert first == [f"woven roving 600 is off order {order.number}."]
    assert second == ["That line is off its order already."]
    assert order.lines.count() == 1


def test_size_taken_out_twice_is_out_and_the_second_tap_says_so(page, order):
    line = order.lines.first()
    offer = Offer.objects.create(
        supplier=order.supplier, reinforcement=line.reinforcement, width_mm=1250, length_mm=50_000, price=1
    )
    _, second = page("offer-remove", offer.pk)
    assert (second, Offer.objects.count()) == (["That price is taken out already."], 0)


def test_order_cancelled_twice_is_cancelled_once(page, order):
    first, second = page("order-cancel", order.pk)
    assert first == second == [f"Nothing more is expected of order {order.number}."]
    order.refresh_from_db()
    assert order.state == Order.State.CANCELLED


def test_last_line_closed_twice_closes_the_order_once(page, order, owner):
    order.lines.last().delete()
    actions.approve(order=order, by=owner, at=NOON)
    first, second = page("order-line-close", order.lines.get().pk)
    assert first == second == [f"No more woven roving 600 is expected of order {order.number}."]


@pytest.fixture
def evening():
    """Ten in the evening of 2 March west of Greenwich, where it is 3 March already."""
    with timezone.override(ZoneInfo("America/Halifax")):
        yield datetime.datetime(2026, 3, 3, 2, 0, tzinfo=datetime.UTC)


def test_order_expected_today_is_approved_in_the_evening(order, owner, evening):
    Order.objects.update(expected_on=TODAY)
    assert actions.approve(order=order, by=owner, at=evening).state == Order.State.APPROVED


def test_paper_of_an_order_is_dated_by_the_evening_on_which_it_was_approved(order, owner, evening):
    approved = actions.approve(order=order, by=owner, at=evening)
    (page,) = PdfDocument(order_as_pdf(approved, list(order.lines.all()), Shop.current()))
    assert "Approved by olga on 2026-03-02" in page.get_textpage().get_text_range()


def test_order_expected_yesterday_is_not_approved_in_the_morning_east_of_greenwich(order, owner):
    Order.objects.update(expected_on=TODAY)
    with timezone.override(ZoneInfo("Asia/Tokyo")), pytest.raises(OrderError, match="has gone by"):
        actions.approve(order=order, by=owner, at=datetime.datetime(2026, 3, 2, 20, 0, tzinfo=datetime.UTC))


def test_what_was_logged_three_days_before_the_evening_of_the_order_may_belong_to_it(order, owner, evening):
    Order.objects.update(made_at=evening)
    line = order.lines.first()
    roll = make_roll(by=owner, reinforcement=line.reinforcement, received_on=TODAY - datetime.timedelta(days=3))
    order.refresh_from_db()
    assert {candidate.item for candidate in candidates(order, "metric")} == {roll}
