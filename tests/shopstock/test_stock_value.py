"""What the stock is worth when cloth is wound from one roll onto another: as much as before."""

from datetime import timedelta
from decimal import Decimal

import pytest

from shopstock import ledger
from shopstock.stock_value import stock_value, totals
from tests.factories import NOON, make_reinforcement, make_roll, new_key


@pytest.fixture
def kind(db):
    return make_reinforcement("roving 600")


def rolls(owner, kind, *prices):
    return [
        make_roll(by=owner, reinforcement=kind, length_mm=50_000, lot="L1", price=price and Decimal(price))
        for price in prices
    ]


def worth(hours: int = 9) -> dict[str, Decimal]:
    return totals(stock_value(NOON + timedelta(hours=hours)))


def wish(owner, hours: int) -> dict:
    return {"by": owner, "at": NOON + timedelta(hours=hours), "key": new_key()}


def test_roll_split_in_two_is_worth_what_it_was(owner, kind):
    (roll,) = rolls(owner, kind, "120")
    second = ledger.split_roll(roll=roll, length_mm=20_000, **wish(owner, 1))
    assert worth() == {"EUR": Decimal("120.00")}
    (row,) = stock_value(NOON + timedelta(hours=9))
    assert (row.amount, row.without) == (50_000, 0)
    ledger.record_cut(roll=second, length_mm=5_000, **wish(owner, 2))  # 5 m at 2.40
    assert worth() == {"EUR": Decimal("108.00")}


def test_rolls_of_two_prices_joined_are_worth_what_they_were(owner, kind):
    cheap, dear = rolls(owner, kind, "100", "150")
    ledger.record_cut(roll=cheap, length_mm=20_000, **wish(owner, 1))  # 30 m at 2.00 stay
    ledger.record_cut(roll=dear, length_mm=30_000, **wish(owner, 1))  # 20 m at 3.00 stay
    before = worth()
    line = ledger.join_rolls(roll=cheap, other=dear, **wish(owner, 2))
    assert (before, worth(1), worth()) == ({"EUR": Decimal("120.00")}, before, before)
    ledger.take_back_winding(movement=line, reason="not these", **wish(owner, 3))
    assert (worth(2), worth()) == (before, before)


def test_cut_of_a_joined_roll_takes_its_share_of_what_both_cost(owner, kind):
    cheap, dear = rolls(owner, kind, "100", "150")
    ledger.join_rolls(roll=cheap, other=dear, **wish(owner, 1))
    ledger.record_cut(roll=cheap, length_mm=25_000, **wish(owner, 2))
    assert worth() == {"EUR": Decimal("187.50")}


def test_what_was_split_off_a_joined_roll_and_joined_again_keeps_its_cost(owner, kind):
    cheap, dear = rolls(owner, kind, "100", "150")
    ledger.join_rolls(roll=cheap, other=dear, **wish(owner, 1))
    second = ledger.split_roll(roll=cheap, length_mm=40_000, **wish(owner, 2))
    third = ledger.split_roll(roll=second, length_mm=10_000, **wish(owner, 3))
    assert worth() == {"EUR": Decimal("250.00")}
    ledger.join_rolls(roll=cheap, other=third, **wish(owner, 4))
    assert worth() == {"EUR": Decimal("250.00")}


def test_cloth_without_a_price_wound_onto_another_adds_nothing(owner, kind):
    known, unknown = rolls(owner, kind, "100", None)
    ledger.join_rolls(roll=known, other=unknown, **wish(owner, 1))
    assert worth() == {"EUR": Decimal("100.00")}
