"""What stock costs: landed cost of a delivery, splitting money so that the cents add up, first-in-first-out and moving
average for what is issued, and the value an offcut carries.

Quantity and total value are kept, never a rounded unit cost: rounding that loses money on every issue.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import floor

CENT = Decimal("0.01")


class CostError(ValueError):
    """Money that cannot be split or stock that is not there to issue."""


@dataclass(frozen=True)
class DeliveryLine:
    """One roll of a delivery: price in money, mass in g, area in m²."""

    price: Decimal
    mass_g: Decimal
    area_m2: Decimal


@dataclass(frozen=True)
class LandedLine:
    """What one roll costs on the rack: its price and its shares of freight, duty and handling."""

    price: Decimal
    freight: Decimal
    duty: Decimal
    handling: Decimal
    area_m2: Decimal

    @property
    def landed(self) -> Decimal:
        return self.price + self.freight + self.duty + self.handling

    @property
    def per_m2(self) -> Decimal:
        return self.landed / self.area_m2


@dataclass(frozen=True)
class CostLayer:
    """A quantity (any one unit) and what it cost in all."""

    quantity: Decimal
    value: Decimal


@dataclass(frozen=True)
class Issued:
    """Cost of what was issued, and the layers left."""

    cost: Decimal
    left: tuple[CostLayer, ...]


def to_cents(amount: Decimal) -> Decimal:
    """An amount rounded to whole cents, half up. Worked: 27.725 → 27.73."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def split_cents(total: Decimal, shares: Sequence[Decimal | int]) -> list[Decimal]:
    """Split ``total`` (money, whole cents) in proportion to ``shares`` so that the parts add up to it exactly.

    Each part is rounded down, then the cents left go to the largest remainders, the first of equals first. Raises
    CostError for a fraction of a cent, a negative share or shares that are all zero. Source: largest remainder rule.
    Worked: 100 over 1, 1, 1 → 33.34, 33.33, 33.33.
    """
    cents, whole = Fraction(total) * 100, sum(map(Fraction, shares))
    if cents.denominator != 1 or whole <= 0 or min(shares) < 0:
        raise CostError("Money is split in whole cents over shares of which at least one is above zero.")
    exact = [cents * Fraction(share) / whole for share in shares]
    parts = [floor(part) for part in exact]
    by_remainder = sorted(range(len(exact)), key=lambda i: (parts[i] - exact[i], i))
    for i in by_remainder[: int(cents) - sum(parts)]:
        parts[i] += 1
    return [Decimal(part).scaleb(-2) for part in parts]


def landed_costs(
    lines: Sequence[DeliveryLine], *, freight: Decimal, duty_percent: Decimal, handling: Decimal
) -> list[LandedLine]:
    """Landed cost of every line: freight by mass, duty on price and freight, handling in equal parts.

    Amounts in money, duty in per cent. The shares add up to the invoice. Raises CostError. Source: own worked table.
    Worked: rolls at 82, 96, 158, freight 60, duty 7 %, handling 12 → 111.64, 126.02, 198.06.
    """
    freights = split_cents(freight, [line.mass_g for line in lines])
    dutiable = [line.price + share for line, share in zip(lines, freights, strict=True)]
    owed = dutiable if any(dutiable) else [Decimal(1)] * len(lines)  # all free of charge: nothing to split
    duties = split_cents(to_cents(sum(dutiable) * duty_percent / 100), owed)
    handlings = split_cents(handling, [1] * len(lines))
    rows = zip(lines, freights, duties, handlings, strict=True)
    return [LandedLine(line.price, share, duty, hand, line.area_m2) for line, share, duty, hand in rows]


def cost_in_part(per_m2: Decimal, waste_percent: Decimal) -> Decimal:
    """Money per m² that ends in the part, from money per m² bought and waste in per cent of what is bought.

    Raises CostError. Worked: 1.6239 at 12 % → 1.8453.
    """
    if not 0 <= waste_percent < 100:
        raise CostError(f"Waste is a share from 0 to below 100 %, not {waste_percent} %.")
    return per_m2 / (1 - Decimal(waste_percent) / 100)


def issue_first_in_first_out(layers: Sequence[CostLayer], quantity: Decimal) -> Issued:
    """Cost of issuing ``quantity`` from the oldest layers first; ``layers`` oldest first, one unit throughout.

    Raises CostError when there is not enough. Source: IAS 2, from memory. Worked: 10 for 910 and 15 for 1590, issue 20
    → 1970.
    """
    _check_issue(sum((layer.quantity for layer in layers), Decimal(0)), quantity)
    cost, needed, left = Decimal(0), quantity, []
    for layer in layers:
        taken = min(layer.quantity, needed)
        value = _share_of(layer, taken)
        cost, needed = cost + value, needed - taken
        if taken < layer.quantity:
            left.append(CostLayer(layer.quantity - taken, layer.value - value))
    return Issued(cost, tuple(left))


def issue_moving_average(layers: Sequence[CostLayer], quantity: Decimal) -> Issued:
    """Cost of issuing ``quantity`` at the average of everything held; one layer is left, or none.

    Raises CostError when there is not enough. Source: IAS 2, from memory. Worked: 10 for 910 and 15 for 1590, issue 20
    → 2000.
    """
    pool = CostLayer(sum((x.quantity for x in layers), Decimal(0)), sum((x.value for x in layers), Decimal(0)))
    _check_issue(pool.quantity, quantity)
    cost = _share_of(pool, quantity)
    left = CostLayer(pool.quantity - quantity, pool.value - cost)
    return Issued(cost, (left,) if left.quantity else ())


def _check_issue(held: Decimal, quantity: Decimal) -> None:
    if quantity < 0 or quantity > held:
        raise CostError(f"{quantity} cannot be issued from {held}.")


def _share_of(layer: CostLayer, quantity: Decimal) -> Decimal:
    """Value of a part, in whole cents; all of it when all is taken, so nothing is lost."""
    if quantity == layer.quantity:
        return layer.value
    return to_cents(layer.value * quantity / layer.quantity)


def offcut_value(area_m2: Decimal, landed_per_m2: Decimal, usability: Decimal) -> Decimal:
    """Money an offcut carries: area (m²) times landed cost per m² times usability from 0 to 1, never above its cost.

    Raises CostError. Worked: 0.9 × 1.25 m at 2.10 and 0.6 → 1.4175.
    """
    if not 0 <= usability <= 1:
        raise CostError(f"Usability runs from 0 (bin) to 1 (as good as the roll), not {usability}.")
    return area_m2 * landed_per_m2 * usability
