"""How many rolls to have for jobs that may come, by what being wrong costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shopstock.calc.quoted_jobs import (
    Quote,
    QuoteError,
    RollChoice,
    best_choice,
    chances_of_total,
    mean_and_variance,
    rolls_for_quotes,
)
from shopstock.demand import ClothUse
from shopstock.models import Reinforcement


@dataclass(frozen=True)
class MayCome:
    """Quoted jobs of one reinforcement, the chance in % of each total in mm, and rolls to choose from."""

    uses: Sequence[ClothUse]
    chances: tuple[tuple[int, float], ...] = ()
    mean_mm: int = 0
    choices: Sequence[RollChoice] = ()
    problem: str = ""

    @property
    def best(self) -> RollChoice | None:
        return best_choice(self.choices) if self.choices else None


def may_come(kind: Reinforcement, uses: Sequence[ClothUse], short: Decimal | None, over: Decimal | None) -> MayCome:
    quoted = [use for use in uses if use.is_quoted and use.reinforcement_id == kind.pk]
    if not quoted:
        return MayCome(())
    try:
        chances = chances_of_total([Quote(Decimal(u.length_mm), Decimal(u.chance_percent) / 100) for u in quoted])
        mean, _ = mean_and_variance(chances)
        choices = ()
        if short is not None and over is not None:
            costs = {"under": short / 1000, "over": over / 1000}
            choices = rolls_for_quotes(chances, roll_length=Decimal(kind.roll_length_mm), **costs)
    except QuoteError as error:
        return MayCome(quoted, problem=str(error))
    shown = tuple((int(total), 100 * float(chance)) for total, chance in chances.items())
    return MayCome(quoted, shown, round(mean), choices)
