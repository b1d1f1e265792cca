"""From "short in three weeks" to the order received and the outlook healed, each step by the person whose it is."""

import datetime
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from shopstock.ledger_check import differences
from shopstock.models import DeliveredItem, Order, Roll
from tests.browser.chromium import DESK, PHONE
from tests.factories import make_reinforcement, make_roll, make_supplier
from tests.jobs.factories import simple_job


@pytest.fixture
def roving(owner):
    """One roll of 10 m there, and three pieces of 20 m wanted in three weeks: two new rolls of 50 m."""
    supplier = make_supplier("Northern Fabrics", lead_time_days=7, freight=Decimal("40"), email="orders@north.example")
    kind = make_reinforcement("Woven roving 600", supplier=supplier)
    make_roll(by=owner, reinforcement=kind, length_mm=10_000, at=timezone.now() - datetime.timedelta(days=30))
    due = timezone.localdate() + datetime.timedelta(days=21)
    simple_job(by=owner, reinforcement=kind, name="Pilot boat", cut_on=due, length_mm=20_000, count=3, may_seam=False)
    return kind


def log_roll(page, order: Order, *, length: str, price: str) -> None:
    """From the order's page to Receive and back to the order, with what is on the label and on the invoice."""
    page.get_by_role("link", name="Something came").click()
    page.get_by_role("link", name="Log rolls").click()
    page.get_by_role("textbox", name="Lot (may be left empty)").fill("N-7")
    page.get_by_label("Width as measured").fill("1250")
    page.get_by_label("Length on the label").fill(length)
    page.get_by_label("no, nowhere").check()
    page.get_by_role("button", name="Log what came in").click()
    page.get_by_role("link", name=f"Book on order {order.number}").click()
    page.get_by_label("came for this order").check()
    page.get_by_label("Invoiced (EUR)").fill(price)
    page.get_by_role("button", name=f"Book on order {order.number}").click()
    page.wait_for_url(f"**{reverse('order', args=[order.pk])}")


def test_short_in_three_weeks_is_ordered_received_in_parts_and_healed(visit, roving, owner, clerk):
    due = timezone.localdate() + datetime.timedelta(days=21)
    desk = visit(owner, DESK)
    desk.open("outlook")
    desk.page.get_by_role("link", name="Woven roving 600").click()
    expect(desk.page.get_by_text(f"Fails on {due} and stops Pilot boat")).to_be_visible()
    expect(desk.page.locator("svg.outlook.wide").get_by_text("short for Pilot boat")).to_be_visible()
    desk.page.get_by_role("link", name="To order").click()
    expect(desk.page.get_by_text("One order of 2 rolls: 280.00 EUR")).to_be_visible()
    desk.page.get_by_role("button", name="Write the order to Northern Fabrics").click()
    desk.page.wait_for_url(re.compile(r"/orders/\d+/$"))
    order = Order.objects.get()

    desk.open("cloth-outlook", roving.pk)
    expect(desk.page.get_by_text(f"Fails on {due}")).to_be_visible()  # a draft brings nothing
    desk.open("order", order.pk)
    desk.page.get_by_role("button", name="Approve").click()
    desk.page.get_by_role("button", name="It is sent").click()
    expect(desk.page.get_by_text(f"Order {order.number} is sent.")).to_be_visible()
    desk.open("cloth-outlook", roving.pk)
    expect(desk.page.get_by_text("What is there and on its way covers the planned jobs.")).to_be_visible()
    expect(desk.page.get_by_role("cell", name=f"Order {order.number} comes: 100.00 m")).to_be_visible()

    phone = visit(clerk, PHONE)
    phone.open("order", order.pk)
    log_roll(phone.page, order, length="47", price="125")
    expect(phone.page.get_by_text("3.00 m short: 47.00 m on its label")).to_be_visible()
    expect(phone.page.get_by_text("5.00 EUR dearer than ordered")).to_be_visible()
    desk.page.reload()
    expect(desk.page.get_by_role("cell", name=f"Order {order.number} comes: 50.00 m")).to_be_visible()

    log_roll(phone.page, order, length="50", price="120")
    expect(phone.page.get_by_role("heading", name=re.compile("received"))).to_be_visible()
    desk.page.reload()
    expect(desk.page.get_by_text("What is there and on its way covers the planned jobs.")).to_be_visible()
    expect(desk.page.get_by_text(f"Order {order.number} comes")).to_have_count(0)
    assert [item.landed for item in DeliveredItem.objects.all()] == [Decimal("165.00"), Decimal("120.00")]
    assert Roll.objects.filter(delivered__line__order=order).count() == 2
    assert list(differences()) == []
