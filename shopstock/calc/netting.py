"""What must be ordered and when, period by period: needs against stock, open orders and a safety length.

Period 1 is the one now beginning. Metres here say nothing of pieces: whether a roll end can give a ply is asked of the
cutting planner, before the netting.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

LotRule = Callable[[Decimal], Decimal]


class NettingError(ValueError):
    """Needs, receipts or a roll length that cannot be netted."""


@dataclass(frozen=True)
class NettedPeriod:
    """One period of the netting; quantities in the unit of the input, ``release_period`` below 1 lies in the past."""

    period: int
    needed: Decimal
    arriving: Decimal
    net: Decimal
    planned_receipt: Decimal
    stock_after: Decimal
    release_period: int | None

    @property
    def past_due(self) -> bool:
        return self.release_period is not None and self.release_period < 1


@dataclass(frozen=True)
class OrderBy:
    """The last day to order, and how many days ago that was (0 when there is still time)."""

    day: date
    days_late: int


def as_needed(net: Decimal) -> Decimal:
    """Lot rule: order exactly the net need."""
    return net


def in_whole_rolls(roll_length: Decimal) -> LotRule:
    """Lot rule: the fewest whole rolls of ``roll_length`` (same unit as the need) that cover it; raises NettingError.

    Worked: rolls of 50, need 47 → 50; need 51 → 100.
    """
    if roll_length <= 0:
        raise NettingError(f"A roll is longer than {roll_length}: give the length a roll is sold in.")
    return lambda net: (net / roll_length).to_integral_value(ROUND_CEILING) * roll_length


def net_needs(
    needed: Sequence[Decimal | int],
    *,
    on_hand: Decimal | int,
    arriving: Sequence[Decimal | int] = (),
    safety: Decimal | int = 0,
    lead_periods: int = 0,
    lot_rule: LotRule = as_needed,
) -> list[NettedPeriod]:
    """Net need, planned receipt, stock and release of every period.

    ``needed`` and ``arriving`` are per period, ``on_hand`` and ``safety`` in the same unit, ``lead_periods`` in
    periods. Raises NettingError. Source: time-phased netting, N = max(0, G + SS − SR − I). Worked: on hand 150, needs
    150, 195, 240, arriving 50 in the second → net 0, 145, 240.
    """
    receipts = _padded(arriving, len(needed))
    if lead_periods < 0 or safety < 0 or any(x < 0 for x in (*needed, *receipts)):
        raise NettingError("Needs, receipts, safety stock and lead time cannot be negative.")
    stock, rows = Decimal(on_hand), []
    for period, (need, receipt) in enumerate(zip(map(Decimal, needed), receipts, strict=True), start=1):
        net = max(Decimal(0), need + safety - receipt - stock)
        planned = lot_rule(net) if net else Decimal(0)
        stock = stock + receipt + planned - need
        release = period - lead_periods if planned else None
        rows.append(NettedPeriod(period, need, receipt, net, planned, stock, release))
    return rows


def _padded(arriving: Sequence[Decimal | int], periods: int) -> list[Decimal]:
    if len(arriving) > periods:
        raise NettingError(f"{len(arriving)} receipts were given for {periods} periods.")
    return [Decimal(x) for x in arriving] + [Decimal(0)] * (periods - len(arriving))


def last_day_to_order(needed_on: date, lead_days: int, *, on: date) -> OrderBy:
    """The last day on which an order still comes in time, counted in calendar days, and how late that already is.

    ``lead_days`` in days, ``on`` is today. Raises NettingError. Worked: needed 20 May, 14 days, today 8 May → 6 May, 2
    days late.
    """
    if lead_days < 0:
        raise NettingError("A lead time cannot be negative.")
    day = needed_on - timedelta(days=lead_days)
    return OrderBy(day, max(0, (on - day).days))
