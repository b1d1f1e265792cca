"""What jobs that may come will need in all, and how many whole rolls to have for them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from shopstock.calc.order_lines import PackSize, cheapest_packs

MOST_JOBS = 16  # 65 536 outcomes; of more quotes the totals are counted on a grid
GRID_STEPS = 1000  # into which the total of many quotes is parted at most


class QuoteError(ValueError):
    """Quotes that cannot be put together."""


@dataclass(frozen=True)
class Quote:
    """A job that comes with a chance from 0 to 1 and then needs a quantity."""

    quantity: Decimal
    chance: Decimal


@dataclass(frozen=True)
class RollChoice:
    """A number of whole rolls or packs and what having so many is expected to cost.

    ``packs`` gives the number of each content, where packs of several contents are sold.
    """

    rolls: int
    expected_cost: Fraction
    packs: tuple[tuple[int, int], ...] = ()


def chances_of_total(quotes: Sequence[Quote]) -> dict[Decimal, Fraction]:
    """Chance of each total need, the smallest first, when jobs come or not independently of each other.

    Quantities in one unit. Raises QuoteError. Source: convolution. Worked: 20 at 0.8, 35 at 0.5, 50 at 0.3 → 0.07 for
    0, 0.28 for 20, 0.07 for 35, 0.03 for 50, 0.28 for 55, 0.12 for 70, 0.03 for 85, 0.12 for 105.
    """
    if len(quotes) > MOST_JOBS:
        raise QuoteError(f"{len(quotes)} quoted jobs of one material: at most {MOST_JOBS} are counted exactly.")
    return _convolved([(quote.quantity, Fraction(quote.chance)) for quote in _checked(quotes)], Fraction(1))


def chances_on_a_grid(quotes: Sequence[Quote]) -> tuple[dict[Decimal, Fraction], int]:
    """The same for any number of quotes, each need rounded up to a grid, and the step of the grid.

    Quantities in one unit. Raises QuoteError. Source: convolution (the Poisson binomial distribution, weighted), here
    in floating point. Worked: 20 jobs of 1001 mm at 0.5 → step 50 mm, so 1050 mm each: a total of 10 500 mm has the
    chance of 10 in 20, 0.1762.
    """
    total = sum((quote.quantity for quote in _checked(quotes)), Decimal(0))
    step = _round_number(total / GRID_STEPS)
    on_grid = [(Decimal(ceil(quote.quantity / step) * step), float(quote.chance)) for quote in quotes]
    return {total: Fraction(share) for total, share in _convolved(on_grid, 1.0).items()}, step


def _checked(quotes: Sequence[Quote]) -> Sequence[Quote]:
    for quote in quotes:
        if not 0 <= quote.chance <= 1 or quote.quantity < 0:
            raise QuoteError("A chance lies from 0 to 1, and a need is not below 0.")
    return quotes


def _round_number(least: Decimal) -> int:
    """The smallest of 1, 2, 5, 10, 20, 50 … that is not below it."""
    power = 1
    while power * 10 < least:
        power *= 10
    return next(power * times for times in (1, 2, 5, 10) if power * times >= least)


def _convolved(quotes, certain) -> dict:
    """Of (quantity, chance); ``certain`` is 1 in the kind of number that the chances are."""
    totals = {Decimal(0): certain}
    for quantity, chance in quotes:
        come: dict = {}
        for total, share in totals.items():
            come[total] = come.get(total, 0) + share * (1 - chance)
            come[total + quantity] = come.get(total + quantity, 0) + share * chance
        totals = {total: share for total, share in come.items() if share}
    return dict(sorted(totals.items()))


def chances_of_sets(chances: Mapping[int, Fraction]) -> dict[frozenset[int], Fraction]:
    """Chance of each set of jobs that all come while the others do not, by the key of a job.

    Raises QuoteError for more jobs than can be counted out. Worked: 0.8 and 0.5 → none 0.1, the first alone 0.4, the
    second alone 0.1, both 0.4.
    """
    if len(chances) > MOST_JOBS:
        raise QuoteError(f"{len(chances)} quoted jobs of one material: at most {MOST_JOBS} are counted exactly.")
    sets = {frozenset(): Fraction(1)}
    for job, chance in chances.items():
        sets = {
            jobs | come: share * part
            for jobs, share in sets.items()
            for come, part in ((frozenset(), 1 - chance), (frozenset([job]), chance))
        }
    return {jobs: share for jobs, share in sets.items() if share}


def gathered(chances: Mapping[Decimal, Fraction], most: int) -> dict[Decimal, Fraction]:
    """Chances of totals to be read: of no more than about ``most`` steps, each total counted at the step it reaches.

    Raises nothing. Worked: of 1, 2 … 9 at most 5 → 2, 4, 6, 8, 10.
    """
    if len(chances) <= most:
        return dict(chances)
    step = _round_number(max(chances) / most)
    found: dict[Decimal, Fraction] = {}
    for total, chance in chances.items():
        reached = Decimal(ceil(total / step) * step)
        found[reached] = found.get(reached, Fraction(0)) + chance
    return found


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
    beyond = _beyond(chances, on_hand)
    most = ceil(Fraction(max(beyond)) / Fraction(roll_length))
    return [RollChoice(rolls, expected_cost(beyond, rolls * roll_length, under, over)) for rolls in range(most + 1)]


def rolls_for_pieces(
    outcomes: Mapping[tuple[int, ...], Fraction], *, roll_length: int, under: Decimal, over: Decimal
) -> list[RollChoice]:
    """Every sensible number of whole rolls to buy, when it is known what pieces would take of each new roll.

    ``outcomes`` gives the chance of lengths cut from new rolls, one number a roll, after what is on the racks served
    what it could; lengths in the unit of ``roll_length``, money as in ``expected_cost``. So many rolls serve the
    fullest ones. Raises QuoteError. Source: expected cost over all outcomes. Worked: rolls of 50, at 0.6 two pieces of
    30 that no roll gives together, 6 for one short and 1 for one too many → none 216, one 140, two 64; by length alone
    one would cost 56 and two 64.
    """
    if roll_length <= 0 or under < 0 or over < 0:
        raise QuoteError("A roll has a length, and costs cannot be below 0.")
    most = max((len(cut) for cut in outcomes), default=0)
    choices = []
    for rolls in range(most + 1):
        cost = Fraction(0)
        for cut, chance in outcomes.items():
            fullest = sorted(cut, reverse=True)
            short, used = sum(fullest[rolls:]), sum(fullest[:rolls])
            cost += chance * (short * Fraction(under) + (rolls * roll_length - used) * Fraction(over))
        choices.append(RollChoice(rolls, cost))
    return choices


def packs_for_quotes(
    chances: Mapping[Decimal, Fraction],
    sizes: Sequence[PackSize],
    *,
    under: Decimal,
    over: Decimal,
    on_hand: Decimal = Decimal(0),
) -> list[RollChoice]:
    """Every sensible mass to buy in the packs on offer and its expected cost, from none to enough for all.

    As ``rolls_for_quotes``, each in the packs that cost least. Raises QuoteError. Worked: 230 kg at 0.9, drums of 225
    kg at 700 and pails of 25 kg at 95, 4 and 1 → none 828, a drum and a pail (250 kg) 43.
    """
    smallest_g = min(size.content_g for size in sizes)
    beyond = _beyond(chances, on_hand)
    most_g = {ceil(more / smallest_g): int(more) for more in sorted(beyond)}  # what so many of the smallest cover
    bought = [cheapest_packs(more, sizes) if more else {} for more in dict.fromkeys([0, *most_g.values()])]
    return [
        RollChoice(
            sum(packs.values()),
            expected_cost(beyond, Decimal(sum(g * count for g, count in packs.items())), under, over),
            tuple(sorted(packs.items(), reverse=True)),
        )
        for packs in bought
    ]


def _beyond(chances: Mapping[Decimal, Fraction], on_hand: Decimal) -> dict[Decimal, Fraction]:
    """Chance of each need that what is there anyway does not cover."""
    beyond: dict[Decimal, Fraction] = {}
    for total, chance in chances.items():
        more = max(Decimal(0), total - on_hand)
        beyond[more] = beyond.get(more, Fraction(0)) + chance
    return beyond


def best_choice(choices: Sequence[RollChoice]) -> RollChoice:
    """The choice of least expected cost, of equals the fewest rolls. Raises nothing. Worked: above → 2 rolls."""
    return min(choices, key=lambda choice: (choice.expected_cost, choice.rolls))
