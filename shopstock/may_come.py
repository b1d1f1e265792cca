"""Jobs that may come, and how many whole rolls or packs to have for them: what being wrong costs on average decides."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from .calc.quoted_jobs import (
    Quote,
    QuoteError,
    RollChoice,
    best_choice,
    chances_of_total,
    mean_and_variance,
    rolls_for_quotes,
)
from .demand import ClothUse, ResinNeed
from .models import Chemical, Reinforcement, Roll, Shop
from .queries import usable_rolls

YEAR_DAYS = 365


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
    `too_soon` are those for which nothing ordered today would come in time; they do not count.
    """

    quoted: Sequence[Quoted] = ()
    left: int = 0
    chances: tuple[tuple[int, float], ...] = ()
    mean: int = 0
    choices: Sequence[RollChoice] = ()
    in_money: bool = False
    problem: str = ""
    too_soon: Sequence[Quoted] = ()

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
        return ", ".join(f"{quote.job} ({quote.chance_percent} %)" for quote in self.quoted)

    def reason(self, pack: str, currency: str) -> str:
        """Why so many are bought for them, in words."""
        few = f"{self.packs} {pack}{'' if self.packs == 1 else 's'}"
        words = f"May come: {self.names}. Having {few} for them costs least on average"
        if not self.in_money:
            return words
        least, none = _money(self.best.expected_cost), _money(self.choices[0].expected_cost)
        return f"{words}, {least} {currency}; none for them {none} {currency}"


def _money(cost: Fraction) -> str:
    return f"{float(cost):.2f}"


def may_come(
    quoted: Sequence[Quoted],
    *,
    size: int | None,
    left: int,
    wrong: Wrong | None,
    soonest: datetime.date | None = None,
) -> MayCome:
    """`size` is what a roll or pack holds, in mm or g; without it, or without costs, no number is picked.

    `soonest` is when an order of today would come, None where nobody said.
    """
    wanted = [quote for quote in quoted if quote.amount > 0]
    too_soon = [quote for quote in wanted if soonest is not None and quote.needed_on < soonest]
    quoted = [quote for quote in wanted if quote not in too_soon]
    if not quoted:
        return MayCome(too_soon=too_soon)
    try:
        chances = chances_of_total([Quote(Decimal(q.amount), Decimal(q.chance_percent) / 100) for q in quoted])
        mean, _ = mean_and_variance(chances)
        choices: Sequence[RollChoice] = ()
        if size and wrong is not None:
            costs = {"under": wrong.under, "over": wrong.over}
            choices = rolls_for_quotes(chances, roll_length=Decimal(size), on_hand=Decimal(left), **costs)
    except QuoteError as error:
        return MayCome(quoted, left, problem=str(error), too_soon=too_soon)
    shown = tuple((int(total), 100 * float(chance)) for total, chance in chances.items())
    in_money = wrong is not None and wrong.in_money
    return MayCome(quoted, left, shown, round(mean), choices, in_money, too_soon=too_soon)


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
    price = product.price_per_pack and product.pack_g and product.price_per_pack / product.pack_g
    return _wrong(price, Decimal(100) if dies_within_a_year(product) else shop.keeping_percent, shop)


def dies_within_a_year(product: Chemical) -> bool:
    return product.shelf_life_days is not None and product.shelf_life_days < YEAR_DAYS


def _wrong(price: Decimal | None, over_percent: Decimal, shop: Shop) -> Wrong:
    """Both are shares of the price, so that the best number is the same where no price is known."""
    each = price or Decimal(1)
    return Wrong(each * shop.short_percent / 100, each * over_percent / 100, in_money=bool(price))


def sure_and_free_mm(kind: Reinforcement) -> int:
    """On full-width rolls that may be used: there for sure, not promised, not faulty. Offcuts are not counted on."""
    rolls = usable_rolls(kind).filter(kind=Roll.Kind.ROLL)
    return sum(max(0, roll.safe_length_mm - roll.set_aside_mm - roll.faulty_mm) for roll in rolls)
