"""One bar cut into named shares, for a picture of where something went."""

from collections.abc import Sequence
from dataclasses import dataclass

BAR_WIDTH = 1000.0


@dataclass(frozen=True)
class Share:
    """A piece of the bar in drawing units from its left end, with name, share in per cent and number among all."""

    name: str
    x: float
    width: float
    percent: float
    number: int = 1

    @property
    def letter(self) -> str:
        return "ABCDEFGHIJ"[self.number - 1]

    @property
    def middle_x(self) -> float:
        return round(self.x + self.width / 2, 1)

    @property
    def is_wide(self) -> bool:
        """Wide enough for its letter to stand in it."""
        return self.width >= 60


def draw_bar(amounts: Sequence[tuple[str, float]]) -> list[Share]:
    """Shares of the bar for named amounts of one unit, in order; amounts of 0 and below take no room.

    Result: pieces that fill 1000 drawing units; none when there is nothing to show. Raises nothing.
    Worked: parts 3 and trimmed 1 → 750 and 250 units.
    """
    shown = [(number, name, amount) for number, (name, amount) in enumerate(amounts, start=1) if amount > 0]
    total = sum(amount for _, _, amount in shown)
    shares, reached = [], 0.0
    for number, name, amount in shown:
        width = BAR_WIDTH * amount / total
        shares.append(Share(name, round(reached, 1), round(width, 1), 100 * amount / total, number))
        reached += width
    return shares
