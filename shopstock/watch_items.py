import datetime
from dataclasses import dataclass
from enum import IntEnum

KINDS = {
    "resin_past": "Resin past its date",
    "resin_near": "Resin near its date",
    "resin_unused": "Resin no planned job will use in time",
    "to_measure": "To be measured",
    "measure_next": "Worth measuring next",
    "folded": "Folded or creased cloth",
    "quarantine": "Quarantined too long",
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

    @property
    def is_urgent(self) -> bool:
        return self.severity == Severity.URGENT
