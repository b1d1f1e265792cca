"""An order from its lines to what came of it."""

import datetime
from decimal import Decimal

import pytest

from shopstock.arrivals import Arrival, cloth_on_its_way
from shopstock.models import Order, OrderLine, Roll
from shopstock.ordering import actions
from shopstock.ordering.actions import OrderError
from shopstock.ordering.deliveries import Candidate, candidates, close_line, take_in
from shopstock.to_order import order_lines
from tests.factories import NOON, TODAY, make_chemical, make_container, make_reinforcement, make_roll, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14)


@pytest.fixture
def roving(supplier):
    return make_reinforcement("woven roving 600", supplier=supplier)


@pytest.fixture
def order(supplier, roving, owner):
    made = actions.new_order(supplier=supplier, expected_on=day(10), by=owner, at=NOON, key="first")
    OrderLine.objects.create(
        order=made, reinforcement=roving, width_mm=1250, length_mm=50_000, packs=2, price=Decimal("120"), reason="Hull"
    )
    return made


@pytest.fixture
def coming(order, owner):
    return actions.approve(order=order, by=owner, at=NOON)


def booked(order, rolls, *, prices=None, by, key="delivery", **charges):
    charged = {"freight": Decimal(0), "duty_percent": Decimal(0), "handling": Decimal(0)} | charges
    line = order.lines.get()
    prices = prices or [line.price] * len(rolls)
    found = [(Candidate(line, roll, ()), price) for roll, price in zip(rolls, prices, strict=True)]
    return take_in(order=order, found=found, received_on=TODAY, paper="D7", by=by, at=NOON, key=key, **charged)


def test_draft_counts_as_coming_only_once_it_is_approved(order, owner, roving):
    assert cloth_on_its_way(TODAY) == []
    actions.approve(order=order, by=owner, at=NOON)
    assert cloth_on_its_way(TODAY) == [Arrival(roving.pk, 1250, 50_000, 2, day(10), order.number)]


def test_order_that_is_late_is_expected_today_at_the_earliest(coming):
    assert [roll.expected_on for roll in cloth_on_its_way(day(15))] == [day(15)]
    assert (coming.days_late(day(15)), coming.days_late(day(10))) == (5, 0)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"price": None}, "enter what one costs"),
        ({"expected_on": None}, "Say when it is expected"),
        ({"expected_on": TODAY - datetime.timedelta(days=1)}, "has gone by"),
        ({"lines": None}, "needs a line"),
    ],
)
def test_order_that_is_not_complete_is_not_approved(order, owner, change, says):
    if "price" in change:
        order.lines.update(price=None)
    elif "lines" in change:
        order.lines.all().delete()
    else:
        Order.objects.filter(pk=order.pk).update(**change)
    with pytest.raises(OrderError, match=says):
        actions.approve(order=order, by=owner, at=NOON)
    assert Order.objects.get().state == "draft"


def test_approved_order_is_not_changed_any_more(coming):
    line = coming.lines.get()
    line.packs = 9
    with pytest.raises(OrderError, match="is approved"):
        actions.save_line(line=line)
    with pytest.raises(OrderError, match="is approved"):
        actions.remove_line(line=line)
    assert coming.lines.get().packs == 2


def test_draft_is_not_sent_before_it_is_approved(order):
    with pytest.raises(OrderError, match="Approve it first"):
        actions.mark_sent(order=order, at=NOON)


def test_part_delivery_leaves_the_rest_coming_and_the_last_one_closes_the_order(coming, owner, roving):
    booked(coming, [make_roll(by=owner, reinforcement=roving)], by=owner, key="one")
    assert [roll.count for roll in cloth_on_its_way(TODAY)] == [1]
    booked(coming, [make_roll(by=owner, reinforcement=roving)], by=owner, key="two")
    assert (cloth_on_its_way(TODAY), Order.objects.get().state) == ([], "received")


def test_line_that_is_complete_is_not_waited_for_while_another_is(order, owner, roving):
    mat = make_reinforcement("mat", supplier=order.supplier)
    line = {"width_mm": 1250, "length_mm": 50_000, "price": Decimal(80), "reason": "Deck"}
    rest = OrderLine.objects.create(order=order, reinforcement=mat, packs=1, **line)
    coming = actions.approve(order=order, by=owner, at=NOON)
    first = coming.lines.exclude(pk=rest.pk).get()
    rolls = [make_roll(by=owner, reinforcement=roving) for _ in range(2)]
    charges = dict.fromkeys(("freight", "duty_percent", "handling"), Decimal(0))
    found = [(Candidate(first, roll, ()), Decimal(120)) for roll in rolls]
    take_in(order=coming, found=found, received_on=TODAY, paper="", by=owner, at=NOON, key="one", **charges)
    assert [(roll.reinforcement_id, roll.count) for roll in cloth_on_its_way(TODAY)] == [(mat.pk, 1)]


def test_landed_cost_shares_freight_by_mass_and_the_cents_add_up(coming, owner, roving):
    """Freight 10.00 over 20 and 10 kg, duty 7 % of 247.00 and the freight, handling 0.01 on the first."""
    rolls = [make_roll(by=owner, reinforcement=roving, gross_g=gross_g, tube_g=1_000) for gross_g in (20_000, 10_000)]
    delivery = booked(
        coming,
        rolls,
        prices=[Decimal("120.00"), Decimal("127.00")],
        by=owner,
        freight=Decimal("10.00"),
        duty_percent=Decimal(7),
        handling=Decimal("0.01"),
    )
    items = list(delivery.items.order_by("pk"))
    assert [item.freight for item in items] == [Decimal("6.67"), Decimal("3.33")]
    assert [item.handling for item in items] == [Decimal("0.01"), Decimal("0.00")]
    assert sum(item.duty for item in items) == Decimal("17.99")
    assert sum(item.landed for item in items) == Decimal("247.00") + Decimal("10.00") + Decimal("17.99") + Decimal(
        "0.01"
    )


def test_what_differs_from_the_order_is_said_of_each_roll(coming, owner, roving):
    make_roll(by=owner, reinforcement=roving, width_mm=1_000)
    make_roll(by=owner, reinforcement=roving, length_mm=47_000)
    make_roll(by=owner, reinforcement=roving)
    assert [candidate.differences for candidate in candidates(coming, "metric")] == [
        ("1000 mm wide instead of 1250 mm",),
        ("3.00 m short: 47.00 m on its label",),
        (),
    ]


def test_container_of_another_mass_is_said(supplier, owner):
    resin = make_chemical(supplier=supplier)
    order = actions.new_order(supplier=supplier, expected_on=day(9), by=owner, at=NOON, key="resin")
    OrderLine.objects.create(order=order, chemical=resin, pack_g=25_000, packs=1, price=Decimal(90), reason="Hull")
    order = actions.approve(order=order, by=owner, at=NOON)
    make_container(by=owner, chemical=resin, mass_g=20_000)
    assert [found.differences for found in candidates(order, "metric")] == [("20.00 kg instead of 25.00 kg",)]


def test_offcuts_rolls_of_other_orders_and_rolls_from_before_are_no_candidates(coming, owner, roving):
    old = make_roll(by=owner, reinforcement=roving)
    Roll.objects.filter(pk=old.pk).update(received_on=TODAY - datetime.timedelta(days=4))
    booked(coming, [make_roll(by=owner, reinforcement=roving)], by=owner)
    assert candidates(coming, "metric") == []


def test_more_than_is_still_to_come_is_refused(coming, owner, roving):
    rolls = [make_roll(by=owner, reinforcement=roving) for _ in range(3)]
    with pytest.raises(OrderError, match="2 still to come, 3 ticked"):
        booked(coming, rolls, by=owner)


def test_same_roll_on_two_deliveries_is_refused(coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving)
    booked(coming, [roll], by=owner, key="one")
    with pytest.raises(OrderError, match="booked on an order already"):
        booked(coming, [roll], by=owner, key="two")


def test_second_sending_of_the_same_delivery_books_nothing_more(coming, owner, roving):
    roll = make_roll(by=owner, reinforcement=roving)
    first = booked(coming, [roll], by=owner)
    assert booked(coming, [roll], by=owner) == first
    assert first.items.count() == 1


def test_nothing_is_booked_on_a_draft(order, owner, roving):
    with pytest.raises(OrderError, match="nothing can be booked"):
        booked(order, [make_roll(by=owner, reinforcement=roving)], by=owner)


def test_line_of_which_no_more_comes_is_not_waited_for(coming, owner, roving):
    booked(coming, [make_roll(by=owner, reinforcement=roving)], by=owner)
    close_line(line=coming.lines.get(), at=NOON)
    assert (cloth_on_its_way(TODAY), Order.objects.get().state) == ([], "received")


def test_order_cancelled_after_a_part_came_keeps_what_came(coming, owner, roving):
    booked(coming, [make_roll(by=owner, reinforcement=roving)], by=owner)
    assert actions.cancel(order=coming, at=NOON).state == "received"
    assert cloth_on_its_way(TODAY) == []


def test_cloth_on_its_way_counts_towards_the_minimum(planned, coming, roving):
    roving.minimum_mm = 90_000
    roving.save()
    assert order_lines(TODAY) == []
    roving.minimum_mm = 130_000
    roving.save()
    (line,) = order_lines(TODAY)
    assert (line.packs, line.reasons) == (1, ("Keep at least 130.00 m; free now 0 mm, 100.00 m on its way",))


def test_resin_on_its_way_serves_jobs_from_its_day_and_while_it_lives(planned, supplier, owner):
    resin = make_chemical(supplier=supplier, pack_g=25_000, shelf_life_days=30)
    order = actions.new_order(supplier=supplier, expected_on=day(10), by=owner, at=NOON, key="resin")
    OrderLine.objects.create(order=order, chemical=resin, pack_g=25_000, packs=1, price=Decimal(90), reason="Hull")
    actions.approve(order=order, by=owner, at=NOON)
    planned.needs_resin(resin, 5_000, 9, "Before")
    planned.needs_resin(resin, 5_000, 10, "On the day")
    planned.needs_resin(resin, 5_000, 40, "Last day")
    planned.needs_resin(resin, 5_000, 41, "Dead by then")
    assert [line.reasons for line in order_lines(TODAY)] == [
        ("Before: 5.00 kg short",), ("Dead by then: 5.00 kg short",),
    ]  # fmt: skip
