"""Jobs that may come, and how many whole rolls or packs to have for them: what being wrong costs on average decides."""

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from .calc.order_lines import PackSize
from .calc.quoted_jobs import (
    MOST_JOBS,
    Quote,
    RollChoice,
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
from .demand import ClothUse, QuotedCuts, ResinNeed
from .models import Chemical, Reinforcement, Roll, Shop
from .on_racks import in_date
from .queries import usable_rolls
from .sizes_sold import packs_sold

YEAR_DAYS = 365
MOST_SHOWN = 40  # totals in a table
MOST_NAMED = 5  # quoted jobs in the reason of a line


@dataclass(frozen=True)
class Quoted:
    """What one quoted job would take, in mm or g, and the day."""

    job: str
    job_pk: int | None
    chance_percent: int
    amount: int
    needed_on: datetime.date


@dataclass(frozen=True)
class Wrong:
    """What being wrong costs, in money for a mm or g too few and too many."""

    under: Decimal
    over: Decimal
    in_money: bool = True


@dataclass(frozen=True)
class MayCome:
    """Quoted jobs of one material; amounts in mm or g. `left` is what planned jobs leave for them.

    `chances` gives the chance in % of each total, `choices` what each number of rolls or packs is expected to cost.
    `too_soon` are those for which nothing ordered today would come in time; they do not count. `grid` is what each
    amount was rounded up to where there are many; `by_pieces` says that each piece was packed.
    """

    quoted: Sequence[Quoted] = ()
    left: int = 0
    chances: tuple[tuple[int, float], ...] = ()
    mean: int = 0
    choices: Sequence[RollChoice] = ()
    in_money: bool = False
    too_soon: Sequence[Quoted] = ()
    by_pieces: bool = False
    grid: int = 0

    @property
    def best(self) -> RollChoice | None:
        return best_choice(self.choices) if self.choices else None

    @property
    def packs(self) -> int:
        return self.best.rolls if self.best else 0

    @property
    def needed_on(self) -> datetime.date | None:
        return min((quote.needed_on for quote in self.quoted), default=None)

    @property
    def names(self) -> str:
        named = [f"{quote.job} ({quote.chance_percent} %)" for quote in self.quoted[:MOST_NAMED]]
        more = len(self.quoted) - len(named)
        return ", ".join(named) + (f" and {more} more" if more else "")

    def reason(self, pack: str, currency: str, shown: Callable[[int], str]) -> str:
        """Why so many are bought for them, in words; and how they were counted, where that is not piece by piece."""
        few = f"{self.packs} {pack}{'' if self.packs == 1 else 's'}"
        words = f"May come: {self.names}. Having {few} for them costs least on average"
        if self.in_money:
            least, none = _money(self.best.expected_cost), _money(self.choices[0].expected_cost)
            words = f"{words}, {least} {currency}; none for them {none} {currency}"
        if self.grid:
            return f"{words}. Too many to try each way: amounts rounded up to {shown(self.grid)} and added up"
        return words if self.by_pieces or pack != "roll" else f"{words}. Counted by length, not piece by piece"


def _money(cost: Fraction) -> str:
    return f"{float(cost):.2f}"


def quoted_in_time(
    quoted: Iterable[Quoted], soonest: datetime.date | None
) -> tuple[Sequence[Quoted], Sequence[Quoted]]:
    """Those that count, and those for which an order of today is too late; `soonest` None where nobody said."""
    wanted = [quote for quote in quoted if quote.amount > 0]
    too_soon = [quote for quote in wanted if soonest is not None and quote.needed_on < soonest]
    return [quote for quote in wanted if quote not in too_soon], too_soon


def rolls_may_come(
    quoted: Sequence[Quoted],
    cuts: QuotedCuts | None,
    *,
    roll_mm: int,
    left: int,
    wrong: Wrong | None,
    soonest: datetime.date | None,
) -> MayCome:
    """By pieces where `cuts` says what every set of the jobs would cut from new rolls, else by length."""
    found, chances = _counted(quoted, left, wrong, soonest)
    if not found.quoted or wrong is None:
        return found
    costs = {"under": wrong.under, "over": wrong.over}
    outcomes = _outcomes(found.quoted, cuts) if cuts else None
    if outcomes is not None:
        choices = rolls_for_pieces(outcomes, roll_length=roll_mm, **costs)
        return replace(found, choices=choices, by_pieces=True)
    choices = rolls_for_quotes(chances, roll_length=Decimal(roll_mm), on_hand=Decimal(left), **costs)
    return replace(found, choices=choices)


def packs_may_come(
    quoted: Sequence[Quoted],
    sizes: Sequence[PackSize],
    *,
    left: int,
    wrong: Wrong | None,
    soonest: datetime.date | None,
) -> MayCome:
    """In the packs on offer; without any no number is picked."""
    found, chances = _counted(quoted, left, wrong, soonest)
    if not found.quoted or wrong is None or not sizes:
        return found
    on_hand = Decimal(left)
    choices = packs_for_quotes(chances, sizes, under=wrong.under, over=wrong.over, on_hand=on_hand)
    return replace(found, choices=choices)


def _counted(
    quoted: Sequence[Quoted], left: int, wrong: Wrong | None, soonest: datetime.date | None
) -> tuple[MayCome, Mapping[Decimal, Fraction]]:
    """Who counts and the chance of each total: exact for a few jobs, on a grid for many."""
    counted, too_soon = quoted_in_time(quoted, soonest)
    if not counted:
        return MayCome(too_soon=too_soon), {}
    asked = [Quote(Decimal(quote.amount), Decimal(quote.chance_percent) / 100) for quote in counted]
    chances, grid = chances_on_a_grid(asked) if len(asked) > MOST_JOBS else (chances_of_total(asked), 0)
    mean, _ = mean_and_variance(chances)
    shown = tuple((int(total), 100 * float(chance)) for total, chance in gathered(chances, MOST_SHOWN).items())
    in_money = wrong is not None and wrong.in_money
    return MayCome(counted, left, shown, round(mean), in_money=in_money, too_soon=too_soon, grid=grid), chances


def _outcomes(quoted: Sequence[Quoted], cuts: QuotedCuts) -> dict[tuple[int, ...], Fraction] | None:
    """The chance of each way new rolls are cut; None where it was not worked out for just these jobs."""
    chances = {quote.job_pk: Fraction(quote.chance_percent, 100) for quote in quoted}
    if frozenset(chances) not in cuts.new_mm:
        return None
    outcomes: dict[tuple[int, ...], Fraction] = {}
    for jobs, chance in chances_of_sets(chances).items():
        cut = cuts.new_mm[jobs]
        outcomes[cut] = outcomes.get(cut, Fraction(0)) + chance
    return outcomes


def cloth_quoted(kind: Reinforcement, uses: Iterable[ClothUse]) -> list[Quoted]:
    return [
        Quoted(use.job, use.job_pk, use.chance_percent, use.length_mm, use.needed_on)
        for use in uses
        if use.is_quoted and use.reinforcement_id == kind.pk
    ]


def resin_quoted(product: Chemical, needs: Iterable[ResinNeed], on: datetime.date) -> list[Quoted]:
    """One line a job, whatever it takes the product for."""
    amounts: dict[tuple, int] = {}
    for need in needs:
        if need.chemical_id == product.pk:
            name = (need.job, need.chance_percent, max(need.needed_on, on))
            amounts[name] = amounts.get(name, 0) + need.mass_g
    return [Quoted(job, None, chance, mass_g, day) for (job, chance, day), mass_g in amounts.items()]


def cost_of_cloth(kind: Reinforcement, shop: Shop) -> Wrong:
    """A metre short costs a share of its price, one too many what it costs to keep for a year."""
    price = kind.price_per_roll and kind.price_per_roll / kind.roll_length_mm
    return _wrong(price, shop.keeping_percent, shop)


def cost_of_resin(product: Chemical, shop: Shop) -> Wrong:
    """As for cloth; what dies within a year is lost in full when it is too much."""
    sizes = packs_sold(product)
    price = sizes[0].cost(1) / sizes[0].content_g if sizes else None
    return _wrong(price, Decimal(100) if dies_within_a_year(product) else shop.keeping_percent, shop)


def dies_within_a_year(product: Chemical) -> bool:
    return product.shelf_life_days is not None and product.shelf_life_days < YEAR_DAYS


def _wrong(price: Decimal | None, over_percent: Decimal, shop: Shop) -> Wrong:
    """Both are shares of the price, so that the best number is the same where no price is known."""
    each = price or Decimal(1)
    return Wrong(each * shop.short_percent / 100, each * over_percent / 100, in_money=bool(price))


def sure_and_free_mm(kind: Reinforcement, on: datetime.date) -> int:
    """On full-width rolls that may be cut on a day: for sure, not promised, not faulty. Offcuts are not counted on."""
    rolls = in_date(usable_rolls(kind).filter(kind=Roll.Kind.ROLL), on)
    return sum(max(0, roll.safe_length_mm - roll.set_aside_mm - roll.faulty_mm) for roll in rolls)
