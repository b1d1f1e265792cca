"""What the stock is worth as of a day: landed cost of each roll and container, in proportion to what was left of it."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils import timezone

from .calc.costing import to_cents
from .models import Container, ContainerMovement, Movement, Roll, Shop
from .sizes_sold import currency_of


@dataclass(frozen=True)
class Valued:
    """The stock of one material in one currency; `without` counts what has no price."""

    material: str
    page: str
    page_arg: int
    amount: int
    is_cloth: bool
    currency: str
    value: Decimal
    without: int


def stock_value(at: datetime.datetime) -> list[Valued]:
    """By material as the ledger stood at a moment, cloth first; what has no price counts as nothing and is named."""
    shop = Shop.current()
    return [*_by_material(_rolls(at), shop, True), *_by_material(_containers(at, shop), shop, False)]


def totals(rows: Iterable[Valued]) -> dict[str, Decimal]:
    """By currency: money of two currencies is not added up."""
    sums: dict[str, Decimal] = {}
    for row in rows:
        sums[row.currency] = sums.get(row.currency, Decimal(0)) + row.value
    return sums


@dataclass(frozen=True)
class _Held:
    """One roll or container: what was left, what it came with, its landed cost and the currency of that."""

    material: object
    left: int
    whole: int
    landed: Decimal | None
    currency: str | None

    @property
    def value(self) -> Decimal:
        return Decimal(0) if self.landed is None else to_cents(self.landed * min(self.left, self.whole) / self.whole)

    def with_cost_of(self, other: "_Held") -> "_Held":
        """With a length of another wound on; what of it has no price, or one in another currency, counts as nothing."""
        if self.landed is None:
            return replace(other, left=self.left, whole=self.whole + other.whole)
        more = other.landed if other.landed is not None and other.currency == self.currency else Decimal(0)
        return replace(self, whole=self.whole + other.whole, landed=self.landed + more)

    def part(self, length_mm: int) -> "_Held":
        """So much of it, which costs its share."""
        landed = None if self.landed is None else self.landed * min(length_mm, self.whole) / self.whole
        return replace(self, left=length_mm, whole=length_mm, landed=landed)


def _rolls(at: datetime.datetime) -> Iterable[_Held]:
    lines = Movement.objects.filter(roll=OuterRef("pk"), recorded_at__lte=at).order_by("-recorded_at", "-pk")
    left = Subquery(lines.values("balance_after_mm")[:1])
    wound = _wound(at)
    for roll in _not_closed(_costed_rolls(), at).annotate(left=left).filter(left__gt=0):
        if roll.kind != Roll.Kind.OFFCUT:  # the job paid for the strip it comes from
            yield replace(_cost_of(roll, wound), left=roll.left)


def _not_closed(rows: QuerySet, at: datetime.datetime) -> QuerySet:
    """Without those used up on an earlier day, so that the ledger is not asked about each there ever was."""
    return rows.filter(closed_on__gte=timezone.localdate(at))


def _costed_rolls() -> QuerySet[Roll]:
    return _with_cost(Roll.objects.all()).select_related("reinforcement")


def _wound(at: datetime.datetime) -> dict[int, list[Movement]]:
    """By roll, in order, the lines with which cloth of another was wound onto it; those taken back left out."""
    winding = [Movement.Kind.SPLIT, Movement.Kind.JOIN]
    paired = Movement.objects.filter(pair__gt=0).order_by().values("pk")  # by its index: few lines of many have a pair
    lines = Movement.objects.filter(pk__in=paired, kind__in=winding, delta_mm__gt=0, recorded_at__lte=at)
    found: dict[int, list[Movement]] = {}
    for line in lines.exclude(corrected_by__recorded_at__lte=at).select_related("pair").order_by("recorded_at", "pk"):
        found.setdefault(line.roll_id, []).append(line)
    return found


def _cost_of(roll: Roll, wound: Mapping[int, Sequence[Movement]], before: int | None = None) -> _Held:
    """What all of a roll cost as it stood before that line: its own price, and its share of what was wound on."""
    landed, currency = _landed(roll, roll.price)
    whole = max(1, roll.label_length_mm)
    held = _Held(roll.reinforcement, whole, whole, landed, currency)
    for line in wound.get(roll.pk, ()):
        if before is not None and line.pk >= before:
            break
        other = _cost_of(_costed_rolls().get(pk=line.pair.roll_id), wound, line.pair_id).part(line.delta_mm)
        if line.kind == Movement.Kind.SPLIT:  # it began so
            held = other
        else:
            held = held.part(line.balance_after_mm - line.delta_mm).with_cost_of(other)
    return held


def _containers(at: datetime.datetime, shop: Shop) -> Iterable[_Held]:
    """What came on no order counts at the price of its catalogue, in the currency of who sells it."""
    lines = ContainerMovement.objects.filter(container=OuterRef("pk"), recorded_at__lte=at)
    latest = lines.order_by("-recorded_at", "-pk").values("balance_after_g")[:1]
    first = lines.order_by("recorded_at", "pk").values("balance_after_g")[:1]
    containers = _not_closed(Container.objects, at).annotate(left=Subquery(latest), came=Subquery(first))
    for container in _with_cost(containers.filter(left__gt=0)).select_related("chemical__supplier"):
        product = container.chemical
        landed, currency = _landed(container, None)
        if landed is None and product.price_per_pack is not None and product.pack_g:
            landed = product.price_per_pack * container.came / product.pack_g
            currency = currency_of(product.supplier, shop)
        yield _Held(product, container.left, max(1, container.came), landed, currency)


def _with_cost(rows: QuerySet) -> QuerySet:
    return rows.select_related("delivered__delivery__order")


def _landed(item, price: Decimal | None) -> tuple[Decimal | None, str | None]:
    delivered = getattr(item, "delivered", None)
    return (price, None) if delivered is None else (delivered.landed, delivered.delivery.order.currency)


def _by_material(held: Iterable[_Held], shop: Shop, is_cloth: bool) -> list[Valued]:
    groups: dict[tuple, list[_Held]] = {}
    for item in held:
        groups.setdefault((item.material.name, item.material.pk, item.currency or shop.currency), []).append(item)
    return [
        Valued(
            name,
            "reinforcement" if is_cloth else "chemical",
            pk,
            sum(item.left for item in items),
            is_cloth,
            currency,
            sum((item.value for item in items), Decimal(0)),
            sum(item.landed is None for item in items),
        )
        for (name, pk, currency), items in sorted(groups.items())
    ]
