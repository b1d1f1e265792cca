from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.order_lines import PackSize
from shopstock.calc.quoted_jobs import (
    Quote,
    QuoteError,
    best_choice,
    chances_of_sets,
    chances_of_total,
    chances_on_a_grid,
    gathered,
    mean_and_variance,
    packs_for_quotes,
    rolls_for_pieces,
    rolls_for_quotes,
)

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


HALF = Fraction(1, 2)


def costs(choices):
    return [float(choice.expected_cost) for choice in choices]


def test_pieces_that_no_roll_gives_together_need_a_roll_each_though_their_length_does_not():
    """Two pieces of 30 m at 0.6, rolls of 50 m: two rolls by pieces, one by length."""
    outcomes = {(30, 30): Fraction(6, 10), (): Fraction(4, 10)}
    by_pieces = rolls_for_pieces(outcomes, roll_length=50, under=Decimal(6), over=Decimal(1))
    chances = chances_of_total([Quote(Decimal(60), Decimal("0.6"))])
    by_length = rolls_for_quotes(chances, roll_length=Decimal(50), under=Decimal(6), over=Decimal(1))
    assert (costs(by_pieces), costs(by_length)) == ([216, 140, 64], [216, 56, 64])
    assert (best_choice(by_pieces).rolls, best_choice(by_length).rolls) == (2, 1)


def test_so_many_rolls_serve_the_fullest_ones():
    (none, one, _) = rolls_for_pieces({(10, 45): Fraction(1)}, roll_length=50, under=Decimal(6), over=Decimal(1))
    assert (none.expected_cost, one.expected_cost) == (330, 10 * 6 + 5)


@settings(deadline=None, max_examples=40)
@given(st.lists(st.integers(1, 5), min_size=1, max_size=4), st.lists(st.integers(0, 100), min_size=4, max_size=4))
def test_jobs_of_one_whole_roll_each_cost_by_pieces_what_they_cost_by_length(rolls, percents):
    jobs = {n: (count, Fraction(percents[n], 100)) for n, count in enumerate(rolls)}
    outcomes: dict[tuple[int, ...], Fraction] = {}
    for come, chance in chances_of_sets({n: share for n, (_, share) in jobs.items()}).items():
        cut = (50,) * sum(jobs[n][0] for n in come)
        outcomes[cut] = outcomes.get(cut, 0) + chance
    wanted = [Quote(Decimal(50 * count), Decimal(percents[n]) / 100) for n, (count, _) in jobs.items()]
    lengths = rolls_for_quotes(chances_of_total(wanted), roll_length=Decimal(50), under=Decimal(6), over=Decimal(1))
    assert rolls_for_pieces(outcomes, roll_length=50, under=Decimal(6), over=Decimal(1)) == lengths


def test_sets_of_jobs_are_counted_out_with_their_chances():
    sets = chances_of_sets({1: Fraction(8, 10), 2: HALF})
    assert sets == {
        frozenset(): Fraction(1, 10), frozenset([1]): Fraction(4, 10), frozenset([2]): Fraction(1, 10),
        frozenset([1, 2]): Fraction(4, 10),
    }  # fmt: skip
    with pytest.raises(QuoteError, match="17 quoted jobs"):
        chances_of_sets(dict.fromkeys(range(17), HALF))


def test_twenty_jobs_are_counted_on_a_grid_by_the_binomial_distribution():
    """20 jobs of 1001 mm at 0.5, on steps of 50 mm: ten of them, 10.5 m, come with 184 756 / 2^20."""
    chances, step = chances_on_a_grid([Quote(Decimal(1001), Decimal("0.5"))] * 20)
    assert (step, float(chances[Decimal(10_500)])) == (50, pytest.approx(184_756 / 2**20))
    assert float(sum(chances.values())) == pytest.approx(1)


@settings(deadline=None, max_examples=40)
@given(quotes)
def test_grid_of_one_gives_the_exact_chances(asked):
    chances, step = chances_on_a_grid(asked)
    exact = chances_of_total(asked)
    assert (step, list(chances)) == (1, list(exact))
    assert list(map(float, chances.values())) == pytest.approx(list(map(float, exact.values())))


def test_packs_for_quotes_are_the_drums_and_pails_that_cost_least():
    sizes = [PackSize(25_000, ((1, Decimal(95)),)), PackSize(225_000, ((1, Decimal(700)),))]
    chances = chances_of_total([Quote(Decimal(230_000), Decimal("0.9"))])
    choices = packs_for_quotes(chances, sizes, under=Decimal("0.004"), over=Decimal("0.001"))
    assert [choice.packs for choice in choices] == [(), ((225_000, 1), (25_000, 1))]
    assert costs(choices) == [828, 43]


def test_packs_for_quotes_count_what_is_there():
    sizes = [PackSize(25_000, ((1, Decimal(95)),))]
    chances = chances_of_total([Quote(Decimal(40_000), HALF), Quote(Decimal(20_000), HALF)])
    choices = packs_for_quotes(chances, sizes, under=Decimal(1), over=Decimal(1), on_hand=Decimal(30_000))
    assert [choice.packs for choice in choices] == [(), ((25_000, 1),), ((25_000, 2),)]
    # 30 kg more at 1/4, 10 kg more at 1/4, nothing at 1/2
    assert costs(choices) == [10_000, 17_500, 40_000]


def test_totals_to_be_read_are_gathered_at_the_step_they_reach():
    chances = {Decimal(n): Fraction(1, 9) for n in range(1, 10)}
    assert gathered(chances, 9) == chances
    assert gathered(chances, 5) == {Decimal(n): Fraction(1 if n == 10 else 2, 9) for n in (2, 4, 6, 8, 10)}
