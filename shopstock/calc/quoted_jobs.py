"""What jobs that may come will need in all, and how many whole rolls to have for them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

MOST_JOBS = 16  # 65 536 outcomes; more quotes than that are a list to tidy up first


class QuoteError(ValueError):
    """Quotes that cannot be put together."""


@dataclass(frozen=True)
class Quote:
    """A job that comes with a chance from 0 to 1 and then needs a quantity."""

    quantity: Decimal
    chance: Decimal


@dataclass(frozen=True)
class RollChoice:
    """A number of whole rolls and what having so many is expected to cost."""

    rolls: int
    expected_cost: Fraction


def chances_of_total(quotes: Sequence[Quote]) -> dict[Decimal, Fraction]:
    """Chance of each total need, the smallest first, when jobs come or not independently of each other.

    Quantities in one unit. Raises QuoteError. Source: convolution. Worked: 20 at 0.8, 35 at 0.5, 50 at 0.3 → 0.07 for
    0, 0.28 for 20, 0.07 for 35, 0.03 for 50, 0.28 for 55, 0.12 for 70, 0.03 for 85, 0.12 for 105.
    """
    if len(quotes) > MOST_JOBS:
        raise QuoteError(
            f"{len(quotes)} quoted jobs of one material: decide the least likely, {MOST_JOBS} are counted."
        )
    totals = {Decimal(0): Fraction(1)}
    for quote in quotes:
        if not 0 <= quote.chance <= 1 or quote.quantity < 0:
            raise QuoteError("A chance lies from 0 to 1, and a need is not below 0.")
        come, chance = {}, Fraction(quote.chance)
        for total, share in totals.items():
            come[total] = come.get(total, 0) + share * (1 - chance)
            come[total + quote.quantity] = come.get(total + quote.quantity, 0) + share * chance
        totals = {total: share for total, share in come.items() if share}
    return dict(sorted(totals.items()))


def mean_and_variance(chances: Mapping[Decimal, Fraction]) -> tuple[Fraction, Fraction]:
    """Mean and variance of the total need, in its unit and its square. Raises nothing. Worked: 48.5, 895.25."""
    average = sum((Fraction(total) * share for total, share in chances.items()), Fraction(0))
    return average, sum(((Fraction(t) - average) ** 2 * share for t, share in chances.items()), Fraction(0))


def least_that_serves(chances: Mapping[Decimal, Fraction], share: Fraction) -> Decimal:
    """The smallest total that is enough with a chance of at least ``share``, in its unit.

    Raises QuoteError. Source: F(Q) ≥ cu/(cu + co). Worked: 6/7 → 85.
    """
    so_far = Fraction(0)
    for total, chance in chances.items():
        so_far += chance
        if so_far >= share:
            return total
    raise QuoteError("No quantity serves more than all.")


def expected_cost(chances: Mapping[Decimal, Fraction], have: Decimal, under: Decimal, over: Decimal) -> Fraction:
    """Money that having ``have`` is expected to cost: ``under`` for a unit too few, ``over`` for one too many.

    Raises nothing. Worked: 100 m, 6 and 1 → 55.70.
    """
    return sum((share * _miss(Fraction(total - have), under, over) for total, share in chances.items()), Fraction(0))


def _miss(short: Fraction, under: Decimal, over: Decimal) -> Fraction:
    return short * Fraction(under) if short > 0 else -short * Fraction(over)


def rolls_for_quotes(
    chances: Mapping[Decimal, Fraction],
    *,
    roll_length: Decimal,
    under: Decimal,
    over: Decimal,
    on_hand: Decimal = Decimal(0),
) -> list[RollChoice]:
    """Every sensible number of whole rolls to buy and its expected cost, from none to enough for all.

    ``roll_length`` and ``on_hand``, which is there anyway, in the unit of the need; money as in ``expected_cost``.
    What is on hand costs nothing when it is too much. Raises QuoteError. Worked: 50 m, 6, 1 → 291, 81.65, 55.70, 101.50
    for 0 to 3 rolls; with 35 m on hand the chances are of 0, 15, 20, 35, 50 and 70 m → 120.90, 46.65, 79.85.
    """
    if roll_length <= 0 or under < 0 or over < 0 or on_hand < 0:
        raise QuoteError("A roll has a length, and neither the costs nor what is on hand can be below 0.")
    beyond: dict[Decimal, Fraction] = {}
    for total, chance in chances.items():
        more = max(Decimal(0), total - on_hand)
        beyond[more] = beyond.get(more, Fraction(0)) + chance
    most = ceil(Fraction(max(beyond)) / Fraction(roll_length))
    return [RollChoice(rolls, expected_cost(beyond, rolls * roll_length, under, over)) for rolls in range(most + 1)]


def best_choice(choices: Sequence[RollChoice]) -> RollChoice:
    """The choice of least expected cost, of equals the fewest rolls. Raises nothing. Worked: above → 2 rolls."""
    return min(choices, key=lambda choice: (choice.expected_cost, choice.rolls))
