"""The opening stock: thousands of rolls at once, under the same rules as a receipt of one."""

import datetime
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.calc.stock_code import make_code
from shopstock.calc.stretches import merged_fault_length
from shopstock.models import Container, Fault, Movement, Place, Reinforcement, Roll, Supplier

from .chain import chain_on
from .checks import metres, require_positive
from .errors import LedgerError
from .faults import FoundFault
from .once import one_transaction

BATCH = 500


@dataclass(frozen=True)
class OpeningRoll:
    """A roll or offcut that was in the store before the ledger began; `key` names it, so that it is taken once."""

    key: str
    reinforcement: Reinforcement
    width_mm: int
    length_mm: int
    code: str = ""
    kind: str = Roll.Kind.ROLL
    label_length_mm: int | None = None
    lot: str = ""
    supplier: Supplier | None = None
    place: Place | None = None
    lying: str = ""
    received_on: datetime.date | None = None
    price: Decimal | None = None
    gross_g: int | None = None
    tube_g: int | None = None
    faults: tuple[FoundFault, ...] = ()
    quarantine_reason: str = ""


@one_transaction
def record_opening_stock(
    *,
    rolls: Sequence[OpeningRoll],
    by: AbstractBaseUser,
    at: datetime.datetime,
    reason: str = "opening stock",
    progress: Callable[[int, int], None] | None = None,
) -> list[Roll]:
    """Log rolls that are already on the racks, all or none; those whose key is known are passed over."""
    known = keys_in_the_ledger(opening.key for opening in rolls)
    wanted = [opening for opening in rolls if opening.key not in known]
    for opening in wanted:
        _require_sound(opening)
    codes = _codes_for(wanted)
    made: list[Roll] = []
    for start in range(0, len(wanted), BATCH):
        batch = wanted[start : start + BATCH]
        made += _write_batch(batch, codes[start : start + BATCH], by=by, at=at, reason=reason)
        if progress:
            progress(len(made), len(wanted))
    return made


def keys_in_the_ledger(keys: Iterable[str]) -> set[str]:
    """Which of these keys have made a movement already."""
    wanted = list(keys)
    return {
        key
        for start in range(0, len(wanted), BATCH)
        for key in Movement.objects.filter(key__in=wanted[start : start + BATCH]).values_list("key", flat=True)
    }


def codes_in_use(codes: Iterable[str]) -> set[str]:
    """Which of these codes a roll or a container has."""
    wanted = list(codes)
    return {
        code
        for start in range(0, len(wanted), BATCH)
        for table in (Roll, Container)
        for code in table.objects.filter(code__in=wanted[start : start + BATCH]).values_list("code", flat=True)
    }


def _require_sound(opening: OpeningRoll) -> None:
    require_positive(opening.length_mm)
    require_positive(opening.width_mm)
    for fault in opening.faults:
        if not 0 <= fault.from_free_mm < fault.to_free_mm <= opening.length_mm:
            raise LedgerError(
                f"A fault must lie on the roll: from 0 to {metres(opening.length_mm)} from the free end, "
                f"not {metres(fault.from_free_mm)} to {metres(fault.to_free_mm)}."
            )


def _codes_for(wanted: Sequence[OpeningRoll]) -> list[str]:
    """The codes that were given, which must be free, and new ones for the rest."""
    given = [opening.code for opening in wanted if opening.code]
    taken = sorted(codes_in_use(given) | {code for code, times in Counter(given).items() if times > 1})
    if taken:
        raise LedgerError(f"Code {taken[0]} is in use already. Leave it empty to get a new one.")
    new = iter(_new_codes(len(wanted) - len(given), besides=set(given)))
    return [opening.code or next(new) for opening in wanted]


def _new_codes(count: int, *, besides: set[str]) -> list[str]:
    codes: set[str] = set()
    while len(codes) < count:
        drawn = {make_code() for _ in range(count - len(codes))} - besides
        codes |= drawn - codes_in_use(drawn)
    return list(codes)


def _write_batch(
    batch: Sequence[OpeningRoll], codes: Sequence[str], *, by: AbstractBaseUser, at: datetime.datetime, reason: str
) -> list[Roll]:
    rolls = [_roll(opening, code, at=at) for opening, code in zip(batch, codes, strict=True)]
    pairs = list(zip(rolls, batch, strict=True))
    lines = [line for roll, opening in pairs for line in _lines(roll, opening, by=by, at=at, reason=reason)]
    Roll.objects.bulk_create(rolls)  # after its lines are linked: the head of the chain is stored with it
    Fault.objects.bulk_create(_fault(roll, f, by=by, at=at) for roll, opening in pairs for f in opening.faults)
    Movement.objects.bulk_create(lines)
    return rolls


def _roll(opening: OpeningRoll, code: str, *, at: datetime.datetime) -> Roll:
    quarantined = bool(opening.quarantine_reason)
    length_mm = opening.length_mm
    faults = [(length_mm - fault.to_free_mm, length_mm - fault.from_free_mm) for fault in opening.faults]
    return Roll(
        code=code,
        kind=opening.kind,
        reinforcement=opening.reinforcement,
        width_mm=opening.width_mm,
        length_mm=length_mm,
        label_length_mm=opening.label_length_mm or length_mm,
        faulty_mm=merged_fault_length(length_mm, faults),
        lot=opening.lot,
        supplier=opening.supplier,
        place=opening.place,
        lying=opening.lying or (Roll.Lying.FLAT if opening.kind == Roll.Kind.OFFCUT else Roll.Lying.CORE),
        gross_g=opening.gross_g,
        tube_g=opening.tube_g,
        price=opening.price,
        condition=Roll.Condition.QUARANTINED if quarantined else Roll.Condition.USABLE,
        condition_reason=opening.quarantine_reason,
        condition_since=at if quarantined else None,
        received_on=opening.received_on or timezone.localdate(at),
    )


def _fault(roll: Roll, fault: FoundFault, *, by: AbstractBaseUser, at: datetime.datetime) -> Fault:
    return Fault(
        roll=roll,
        from_mm=roll.length_mm - fault.to_free_mm,
        to_mm=roll.length_mm - fault.from_free_mm,
        cause=fault.cause,
        note=fault.note,
        found_by=by,
        found_at=at,
    )


def _lines(
    roll: Roll, opening: OpeningRoll, *, by: AbstractBaseUser, at: datetime.datetime, reason: str
) -> list[Movement]:
    """The receipt, then a line for each fault and for the quarantine, as a receipt of one roll writes them."""
    wishes = [(Movement.Kind.RECEIPT, roll.length_mm, opening.key, reason)]
    for number, fault in enumerate(opening.faults):
        where = f"{metres(fault.from_free_mm)} to {metres(fault.to_free_mm)} from the free end"
        what = f"{Fault.Cause(fault.cause).label}, {where}{': ' + fault.note if fault.note else ''}"[:300]
        wishes.append((Movement.Kind.FAULT, 0, f"{opening.key}:f{number}", what))
    if opening.quarantine_reason:
        wishes.append((Movement.Kind.QUARANTINE, 0, f"{opening.key}:q", opening.quarantine_reason))
    lines = [
        Movement(
            roll=roll,
            kind=kind,
            delta_mm=delta_mm,
            balance_after_mm=roll.length_mm,
            happened_at=at,
            recorded_at=at,
            by=by,
            key=key,
            reason=why,
        )
        for kind, delta_mm, key, why in wishes
    ]
    for line in lines:
        chain_on(roll, line)
    return lines
