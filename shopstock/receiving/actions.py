import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from shopstock import ledger
from shopstock.calc.stretches import Stretch
from shopstock.ledger.faults import FoundFault
from shopstock.models import Fault, Reinforcement, Roll

MOST_ROLLS = 50

FOUND_WORDS = {
    Fault.Cause.FOLD: "folded",
    Fault.Cause.CREASE: "creased",
    Fault.Cause.CRUSHED: "crushed core",
    Fault.Cause.WET: "wet",
    Fault.Cause.OIL: "oily",
    Fault.Cause.DUST: "dusty",
}


class AnotherDelivery(ledger.LedgerError):
    """The form was sent once already, and now describes other rolls."""


@dataclass(frozen=True)
class Arrived:
    """One roll as its label and the scale have it."""

    length_mm: int
    gross_g: int | None = None
    tube_g: int | None = None
    damaged: bool = False


@dataclass(frozen=True)
class Findings:
    """What the eye found: places by cause (none when not known), splices, a note."""

    causes: dict[str, list[Stretch]] = field(default_factory=dict)
    splices: list[Stretch] = field(default_factory=list)
    note: str = ""

    @property
    def anything(self) -> bool:
        return bool(self.causes or self.splices)

    def quarantine_reason(self) -> str:
        """Names what was found, or is empty when nothing speaks against using the roll."""
        found = ", ".join(FOUND_WORDS[cause] for cause in self.causes)
        return f"{found}: {self.note}" if found and self.note else found

    def faults_on(self, length_mm: int) -> list[FoundFault]:
        places = [(cause, place) for cause, stretches in self.causes.items() for place in stretches]
        places += [(Fault.Cause.SPLICE, place) for place in self.splices]
        return [FoundFault(start, min(end, length_mm), cause, self.note) for cause, (start, end) in places]


def receive_rolls(
    *,
    arrived: Sequence[Arrived],
    findings: Findings,
    reinforcement: Reinforcement,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    standing: str = "",
    **common,
) -> list[Roll]:
    """Log the rolls of one delivery, all or none; the same form sent twice is the same rolls.

    `standing` keeps a warning about their place that was passed over, and why.
    """
    with transaction.atomic():
        _refuse_another_delivery(key, arrived, reinforcement)
        return [
            _receive_one(
                one, findings, standing, reinforcement=reinforcement, by=by, at=at, key=f"{key}-{number}", **common
            )
            for number, one in enumerate(arrived, start=1)
        ]


def _receive_one(one: Arrived, findings: Findings, standing: str, **common) -> Roll:
    found = findings if one.damaged else Findings()
    return ledger.record_receipt(
        length_mm=one.length_mm,
        label_length_mm=one.length_mm,
        gross_g=one.gross_g,
        tube_g=one.tube_g,
        faults=found.faults_on(one.length_mm),
        quarantine_reason=found.quarantine_reason(),
        reason="; ".join(filter(None, (findings.note, standing)))[:300],
        **common,
    )


def _refuse_another_delivery(key: str, arrived: Sequence[Arrived], reinforcement: Reinforcement) -> None:
    there = rolls_of_delivery(key)
    if there and (len(there) != len(arrived) or there[0].reinforcement_id != reinforcement.pk):
        raise AnotherDelivery(
            f"This form was already sent: {len(there)} of {there[0].reinforcement} logged. "
            "Open Receive again for the next delivery."
        )


def rolls_of_delivery(key: str) -> list[Roll]:
    """The rolls that one sending of the receiving form made, in its order."""
    keys = [f"{key}-{number}" for number in range(1, MOST_ROLLS + 1)]
    rolls = Roll.objects.filter(movements__key__in=keys).select_related("reinforcement", "supplier", "place")
    return list(rolls.order_by("pk"))
