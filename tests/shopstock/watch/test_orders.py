from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock.models import OrderLine
from shopstock.ordering import actions
from shopstock.ordering.deliveries import Candidate, take_in
from shopstock.watch import Severity, watch_list
from shopstock.watch_orders import late_orders
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, make_supplier
from tests.shopstock.demand_source import day

SIZE = {"width_mm": 1250, "length_mm": 50_000, "price": Decimal("120")}


@pytest.fixture
def roving(planned):
    return make_reinforcement("Roving 600", supplier=make_supplier("Northern Fabrics"))


@pytest.fixture
def order(roving, owner):
    made = actions.new_order(supplier=roving.supplier, expected_on=day(10), by=owner, at=NOON, key="first")
    OrderLine.objects.create(order=made, reinforcement=roving, packs=2, reason="Hull 7", **SIZE)
    return actions.approve(order=made, by=owner, at=NOON)


def late(on):
    return [item for item in watch_list(on) if item.kind == "late_order"]


def test_order_is_late_from_the_day_after_it_was_expected_with_what_is_still_to_come(order):
    assert late(day(10)) == []
    (item,) = late(day(11))
    assert (item.what, item.cause, item.severity, item.page, item.page_arg) == (
        f"Order {order.number} of Northern Fabrics",
        f"Expected on {day(10)}, 1 day ago; still to come: 2 × Roving 600.",
        Severity.SOON, "order", order.pk,
    )  # fmt: skip
    assert item.at_risk == "Hull 7"


def test_part_that_came_is_not_waited_for_any_more(order, roving, owner):
    charges = dict.fromkeys(("freight", "duty_percent", "handling"), Decimal(0))
    for key, left in (("one", ["1 × Roving 600"]), ("two", [])):
        roll = make_roll(by=owner, reinforcement=roving)
        found = [(Candidate(order.lines.get(), roll, ()), Decimal(120))]
        take_in(order=order, found=found, received_on=TODAY, paper="", by=owner, at=NOON, key=key, **charges)
        assert [item.cause.split(": ")[1].rstrip(".") for item in late(day(11))] == left


def test_draft_a_new_day_and_an_order_called_off_are_not_late(order, roving, owner):
    draft = actions.new_order(supplier=roving.supplier, expected_on=day(1), by=owner, at=NOON, key="draft")
    OrderLine.objects.create(order=draft, reinforcement=roving, packs=1, reason="Deck", **SIZE)
    actions.change_day(order=order, expected_on=day(20))
    assert late(day(11)) == []
    assert len(late(day(21))) == 1
    actions.cancel(order=order, at=NOON)
    assert late(day(21)) == []


def test_two_late_orders_are_read_in_as_many_queries_as_one(order, roving, owner, django_assert_num_queries):
    for number in range(2):
        made = actions.new_order(supplier=roving.supplier, expected_on=day(9), by=owner, at=NOON, key=f"more {number}")
        OrderLine.objects.create(order=made, reinforcement=roving, packs=1, reason="Deck", **SIZE)
        actions.approve(order=made, by=owner, at=NOON)
    with django_assert_num_queries(1):
        assert len(list(late_orders(day(12)))) == 3


@pytest.mark.parametrize(("role", "shown"), [("owner", True), ("clerk", True), ("laminator", False)])
def test_today_warns_of_a_late_order_whoever_can_do_something_about_it(client, request, order, role, shown):
    type(order).objects.filter(pk=order.pk).update(expected_on=day(-3))
    client.force_login(request.getfixturevalue(role))
    page = client.get(reverse("today")).content.decode()
    assert (f"Order {order.number} of Northern Fabrics" in page) is shown


def test_minimum_that_is_on_its_way_is_noted_and_nothing_more_is_to_be_ordered(order, roving):
    roving.minimum_mm = 100_000
    roving.save()
    (item,) = [item for item in watch_list(TODAY) if item.kind == "low_stock"]
    assert (item.severity, item.cause, item.to_do) == (
        Severity.NOTE,
        "0 mm free on full rolls, 100.00 m on its way; the minimum is 100.00 m.",
        "It is ordered: wait.",
    )
