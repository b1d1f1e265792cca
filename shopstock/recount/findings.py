"""What a round found: right, off, missing, in the wrong place, and what it is worth."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from shopstock.models import Movement, RecountEntry, RecountRound, Roll
from shopstock.queries import open_rolls


def to_count(recount: RecountRound) -> QuerySet[Roll]:
    """Everything that was on the racks when the round began and still is."""
    before = open_rolls().filter(movements__recorded_at__lt=recount.started_at)
    return before.select_related("reinforcement", "place").distinct()


def not_found(recount: RecountRound) -> QuerySet[Roll]:
    counted = recount.entries.values("roll")
    return to_count(recount).exclude(pk__in=counted).order_by("place__name", "code")


@dataclass(frozen=True)
class Finding:
    """One counted roll."""

    entry: RecountEntry
    is_off: bool

    @property
    def roll(self) -> Roll:
        return self.entry.roll

    @property
    def difference_mm(self) -> int:
        return self.entry.length_mm - self.entry.booked_mm

    @property
    def is_elsewhere(self) -> bool:
        return self.entry.place_id is not None and self.entry.place_id != self.roll.place_id

    @property
    def worth(self) -> Decimal | None:
        return worth(self.roll, self.difference_mm)


def worth(roll: Roll, length_mm: int) -> Decimal | None:
    """What a length of this roll cost, by its own price if known, else by the catalogue's; None without either."""
    if roll.price is not None:
        return roll.price * length_mm / roll.label_length_mm
    per_m2 = roll.reinforcement.price_per_m2
    return None if per_m2 is None else per_m2 * length_mm * roll.width_mm / 1_000_000


@dataclass(frozen=True)
class Findings:
    counted: Sequence[Finding]
    missing: Sequence[Roll]

    @property
    def off(self) -> list[Finding]:
        return [finding for finding in self.counted if finding.is_off]

    @property
    def corrected(self) -> list[Finding]:
        """Measured within the tolerance, yet not to the millimetre what was booked."""
        return [f for f in self.counted if not f.is_off and f.difference_mm and f.entry.measured]

    @property
    def elsewhere(self) -> list[Finding]:
        return [finding for finding in self.counted if finding.is_elsewhere]

    @property
    def worth(self) -> Decimal:
        """Of all differences together, as far as prices are known; less than nothing is a loss."""
        return sum((finding.worth or Decimal(0) for finding in self.counted), Decimal(0))

    @property
    def missing_worth(self) -> Decimal:
        return sum((worth(roll, roll.length_mm) or Decimal(0) for roll in self.missing), Decimal(0))


def findings_of(recount: RecountRound) -> Findings:
    entries = recount.entries.select_related("roll__reinforcement", "roll__place", "place", "by").order_by("roll__code")
    return Findings([Finding(entry, is_off(entry, recount)) for entry in entries], list(not_found(recount)))


def booked_out(recount: RecountRound) -> QuerySet[Movement]:
    """The lines by which closing the round took off what nobody found."""
    lines = Movement.objects.filter(key__startswith=f"round:{recount.pk}:", measurement__method="missing")
    return lines.select_related("roll__reinforcement").order_by("roll__code")


def is_off(entry: RecountEntry, recount: RecountRound) -> bool:
    """Off by more than the share and by more than the length."""
    difference_mm = abs(entry.length_mm - entry.booked_mm)
    share_mm = entry.booked_mm * recount.tolerance_percent / 100
    return difference_mm > max(share_mm, recount.tolerance_mm)
