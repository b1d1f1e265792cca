"""Time that a prepreg roll has spent out of the freezer; freezing pauses it and never sets it back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta


class OutTimeError(ValueError):
    """Spells that cannot be: back before they began."""


@dataclass(frozen=True)
class Spell:
    """From leaving the freezer to coming back; `back` is None while it is out. The sealed thaw counts."""

    out: datetime
    back: datetime | None = None


@dataclass(frozen=True)
class OutTime:
    """Hours out so far, hours left of the limit, and whether it is out now."""

    used_h: float
    left_h: float
    is_out: bool

    @property
    def share(self) -> float:
        total = self.used_h + self.left_h
        return self.used_h / total if total > 0 else 1.0

    def ends_on(self, at: datetime) -> date | None:
        """The last day on which there is time left if it stays out; None while it lies frozen with time left."""
        if self.left_h <= 0:
            return at.date() - timedelta(days=1)
        return (at + timedelta(hours=self.left_h)).date() if self.is_out else None


def hours_out(spells: Iterable[Spell], at: datetime) -> float:
    """Hours out of the freezer up to ``at``. Raises OutTimeError for a spell that ends before it begins.

    Source: a time sheet a roll, summed. Worked: 120 + 60 + 35 h → 215 h.
    """
    total = timedelta()
    for spell in spells:
        end = at if spell.back is None else min(spell.back, at)
        if spell.back is not None and spell.back < spell.out:
            raise OutTimeError("It came back before it went out: check the two times.")
        total += max(end - spell.out, timedelta())
    return total.total_seconds() / 3600


def out_time(spells: Sequence[Spell], limit_h: float, at: datetime) -> OutTime:
    """How much of the limit (hours) is used at a moment. Worked: 215 of 500 h → 43 % used, 285 h left."""
    used = hours_out(spells, at)
    return OutTime(used, max(limit_h - used, 0.0), any(spell.back is None for spell in spells))


def with_own(taken_over: Sequence[Spell], own: Sequence[Spell], cut_at: datetime) -> list[Spell]:
    """An offcut's spells: those taken over, and its own; one written from its cutting on closes the one it lay in."""
    begun_here = any(spell.out == cut_at for spell in own)
    closed = [Spell(spell.out, cut_at if spell.back is None and begun_here else spell.back) for spell in taken_over]
    return [*closed, *own]


def inherited(spells: Iterable[Spell], cut_at: datetime) -> list[Spell]:
    """What an offcut takes over from its roll: its spells up to the moment it was cut off.

    A spell that lasted at that moment stays open, because the offcut lay out with its roll.
    """
    taken = []
    for spell in spells:
        if spell.out <= cut_at:
            still_out = spell.back is None or spell.back > cut_at
            taken.append(Spell(spell.out, None if still_out else spell.back))
    return taken
