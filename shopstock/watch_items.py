import datetime
from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum

from shopstock.calc.units import format_length, format_mass
from shopstock.models import Chemical, Reinforcement

KINDS = {
    "resin_past": "Resin past its date",
    "resin_opened": "Resin open for too long",
    "neighbour": "In the wrong place",
    "cabinet": "Too much in a cabinet",
    "prepreg": "Prepreg out of the freezer",
    "roll_date": "Cloth past or near its date",
    "climate": "Too warm, too cold or too damp",
    "resin_near": "Resin near its date",
    "resin_unused": "Resin no planned job will use in time",
    "to_measure": "To be measured",
    "doubt": "Length in doubt",
    "measure_next": "Worth measuring next",
    "folded": "Folded or creased cloth",
    "quarantine": "Quarantined too long",
    "late_order": "Orders that are late",
    "low_stock": "Below the minimum kept",
    "short_end": "Ends too short for any planned piece",
    "old_offcut": "Offcuts kept long enough",
}


class Severity(IntEnum):
    URGENT = 0
    SOON = 1
    NOTE = 2


@dataclass(frozen=True)
class WatchItem:
    """One warning: what, its cause, what to do, and the page (URL name and argument) where it is done."""

    kind: str
    severity: Severity
    what: str
    cause: str
    to_do: str
    page: str
    page_arg: str | int
    since: datetime.date | None = None
    due: datetime.date | None = None
    at_risk: str = ""
    rank: int = 0  # order among items of one kind that are equally urgent
    length_mm: int = 0
    mass_g: int = 0
    money: Decimal | None = None
    jobs: tuple[str, ...] = ()
    detail: str = ""  # tells two warnings of one kind about one thing apart

    @property
    def name(self) -> str:
        """Stable while it lasts: what an answer to it, and its event in a calendar, hang on."""
        return f"{self.kind}:{self.page_arg}{f':{self.detail}' if self.detail else ''}"[:80]

    def risk(self, units: str, currency: str) -> str:
        """What it puts at risk: metres, kilograms, money, jobs; else what the warning says of it in words."""
        parts = [
            format_length(self.length_mm, units) if self.length_mm else "",
            format_mass(self.mass_g, units) if self.mass_g else "",
            f"{self.money:,.2f} {currency}" if self.money else "",
            ", ".join(self.jobs),
        ]
        return " · ".join(part for part in parts if part) or self.at_risk

    @property
    def when(self) -> str:
        """Since when, and by when something is to be done where that is another day."""
        since = f"since {self.since}" if self.since else ""
        due = f"by {self.due}" if self.due and self.due != self.since else ""
        return ", ".join(filter(None, (since, due)))

    @property
    def is_urgent(self) -> bool:
        return self.severity == Severity.URGENT


def low_stock(
    material: Reinforcement | Chemical, there: str, kept: str, to_do: str, *, is_gone: bool, page: str, detail: str = ""
) -> WatchItem:
    """Less is there than the shop keeps; without anything to do it is ordered."""
    return WatchItem(
        kind="low_stock",
        severity=Severity.NOTE if not to_do else Severity.URGENT if is_gone else Severity.SOON,
        what=material.name,
        cause=f"{there}; the minimum is {kept}.",
        to_do=to_do or "It is ordered: wait.",
        page=page,
        page_arg=material.pk,
        detail=detail,
    )
