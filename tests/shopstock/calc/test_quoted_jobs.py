from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.quoted_jobs import Quote, QuoteError, chances_of_total, mean_and_variance, rolls_for_quotes

quotes = st.lists(
    st.builds(Quote, st.integers(0, 60).map(Decimal), st.integers(0, 100).map(lambda n: Decimal(n) / 100)), max_size=6
)


@settings(deadline=None, max_examples=40)
@given(quotes)
def test_chances_are_those_of_every_outcome_counted_out(asked):
    by_hand: dict[Decimal, Fraction] = {}
    for outcome in product([0, 1], repeat=len(asked)):
        chance, total = Fraction(1), Decimal(0)
        for comes, quote in zip(outcome, asked, strict=True):
            chance *= Fraction(quote.chance) if comes else 1 - Fraction(quote.chance)
            total += quote.quantity * comes
        by_hand[total] = by_hand.get(total, 0) + chance
    assert chances_of_total(asked) == {total: chance for total, chance in sorted(by_hand.items()) if chance}


@settings(deadline=None, max_examples=40)
@given(quotes)
def test_mean_is_the_sum_of_each_quotes_own_mean(asked):
    mean, _ = mean_and_variance(chances_of_total(asked))
    assert mean == sum((Fraction(q.quantity) * Fraction(q.chance) for q in asked), Fraction(0))


def test_no_quotes_need_no_roll():
    assert [choice.rolls for choice in rolls_for_quotes(chances_of_total([]), roll_length=50, under=6, over=1)] == [0]


def test_chance_above_one_and_too_many_quotes_are_refused():
    with pytest.raises(QuoteError, match="from 0 to 1"):
        chances_of_total([Quote(Decimal(1), Decimal("1.1"))])
    with pytest.raises(QuoteError, match="17 quoted jobs"):
        chances_of_total([Quote(Decimal(1), Decimal("0.5"))] * 17)
