"""Money: split, landed, issued and carried by offcuts."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.costing import (
    CostError,
    CostLayer,
    DeliveryLine,
    cost_in_part,
    issue_first_in_first_out,
    issue_moving_average,
    landed_costs,
    offcut_value,
    split_cents,
)

cents = st.integers(-10_000_000, 10_000_000).map(lambda n: Decimal(n).scaleb(-2))
shares = st.lists(st.decimals(min_value=0, max_value=10**6, places=3), min_size=1, max_size=12).filter(any)


@given(cents, shares)
def test_split_cents_add_up_to_the_total(total, shares):
    assert sum(split_cents(total, shares)) == total


@given(cents, shares)
def test_split_parts_lie_within_a_cent_of_their_share(total, shares):
    whole = sum(shares)
    for part, share in zip(split_cents(total, shares), shares, strict=True):
        assert abs(part - total * share / whole) < Decimal("0.0100001")


def test_cents_left_over_go_to_the_first_of_equals():
    assert split_cents(Decimal("0.05"), [1, 1, 1]) == [Decimal("0.02"), Decimal("0.02"), Decimal("0.01")]


@pytest.mark.parametrize(("total", "shares"), [("1.005", [1]), ("1", [0, 0]), ("1", [2, -1]), ("1", [])])
def test_money_that_cannot_be_split_is_refused(total, shares):
    with pytest.raises(CostError):
        split_cents(Decimal(total), shares)


prices = st.integers(0, 100_000).map(lambda n: Decimal(n).scaleb(-2))
lines = st.lists(st.builds(DeliveryLine, prices, st.integers(1, 10**6).map(Decimal), st.just(Decimal(50))), min_size=1)


@given(lines, prices, prices)
def test_landed_costs_add_up_to_the_invoice(lines, freight, handling):
    landed = landed_costs(lines, freight=freight, duty_percent=Decimal(7), handling=handling)
    goods = sum(line.price for line in lines)
    duty = sum(line.duty for line in landed)
    assert sum(line.landed for line in landed) == goods + freight + handling + duty
    assert abs(duty - (goods + freight) * Decimal("0.07")) <= Decimal("0.005")


layers = st.lists(st.builds(CostLayer, st.integers(1, 1000).map(Decimal), prices), min_size=1, max_size=6)


@given(layers, st.data())
def test_what_is_issued_and_what_is_left_make_up_what_was_paid(layers, data):
    held = sum(layer.quantity for layer in layers)
    quantity = Decimal(data.draw(st.integers(0, int(held))))
    for issue in (issue_first_in_first_out, issue_moving_average):
        issued = issue(layers, quantity)
        assert issued.cost + sum(layer.value for layer in issued.left) == sum(layer.value for layer in layers)
        assert sum(layer.quantity for layer in issued.left) == held - quantity


def test_oldest_layer_is_issued_first():
    layers = [CostLayer(Decimal(10), Decimal(910)), CostLayer(Decimal(15), Decimal(1590))]
    assert issue_first_in_first_out(layers, Decimal(20)).left == (CostLayer(Decimal(5), Decimal(530)),)


def test_layer_issued_whole_gives_up_all_of_its_value():
    half_cent = CostLayer(Decimal(1), Decimal("3.335"))
    assert issue_first_in_first_out([half_cent], Decimal(1)).cost == Decimal("3.335")


def test_issuing_more_than_is_held_is_refused():
    with pytest.raises(CostError, match="11 cannot be issued from 10"):
        issue_first_in_first_out([CostLayer(Decimal(10), Decimal(1))], Decimal(11))


@pytest.mark.parametrize("usability", ["-0.1", "1.1"])
def test_offcut_never_carries_more_than_it_cost(usability):
    with pytest.raises(CostError, match="Usability"):
        offcut_value(Decimal(1), Decimal(2), Decimal(usability))


def test_waste_of_everything_is_refused():
    with pytest.raises(CostError, match="below 100 %"):
        cost_in_part(Decimal(1), Decimal(100))
