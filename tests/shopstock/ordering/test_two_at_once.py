"""Two people, or one with a quick finger, at the same instant on an order."""

from decimal import Decimal

import pytest

from shopstock.models import DeliveredItem, Delivery, Order, OrderLine
from shopstock.ordering import actions
from shopstock.ordering.actions import OrderError
from shopstock.ordering.deliveries import Candidate, take_in
from tests.factories import NOON, TODAY, make_person, make_reinforcement, make_roll, make_supplier
from tests.shopstock.demand_source import day
from tests.shopstock.ledger.test_two_writers import at_the_same_instant

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def olga(transactional_db):
    return make_person("olga", "owner")


def ordered(roving, by, key) -> Order:
    order = actions.new_order(supplier=roving.supplier, expected_on=day(9), by=by, at=NOON, key=key)
    size = {"width_mm": 1250, "length_mm": 50_000, "packs": 2}
    OrderLine.objects.create(order=order, reinforcement=roving, price=Decimal(120), reason="Hull", **size)
    return actions.approve(order=order, by=by, at=NOON)


def booking(order, roll, by, key):
    charges = dict.fromkeys(("freight", "duty_percent", "handling"), Decimal(0))
    found = [(Candidate(order.lines.get(), roll, ()), Decimal(120))]
    return lambda: take_in(order=order, found=found, received_on=TODAY, paper="", by=by, at=NOON, key=key, **charges)


def test_two_taps_write_one_order_and_book_one_delivery(olga):
    supplier = make_supplier()
    begin = {"supplier": supplier, "expected_on": day(9), "by": olga, "at": NOON, "key": "tap"}
    made = at_the_same_instant(*[lambda: actions.new_order(**begin)] * 2, refusals=OrderError)
    assert made == [Order.objects.get()] * 2
    roving = make_reinforcement(supplier=supplier)
    order, roll = ordered(roving, olga, "order"), make_roll(by=olga, reinforcement=roving)
    came = at_the_same_instant(*[booking(order, roll, olga, "tap")] * 2, refusals=OrderError)
    assert came == [Delivery.objects.get()] * 2
    assert DeliveredItem.objects.count() == 1


def test_one_roll_on_two_orders_is_booked_once_and_refused_once(olga):
    roving = make_reinforcement(supplier=make_supplier())
    orders, roll = [ordered(roving, olga, key) for key in "ab"], make_roll(by=olga, reinforcement=roving)
    wishes = [booking(order, roll, olga, f"came {order.pk}") for order in orders]
    answers = at_the_same_instant(*wishes, refusals=OrderError)
    assert sorted(type(answer).__name__ for answer in answers) == ["Delivery", "OrderError"]
    assert (Delivery.objects.count(), DeliveredItem.objects.count()) == (1, 1)
