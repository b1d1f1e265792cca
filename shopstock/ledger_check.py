"""The proof of the ledger: every balance recomputed from its lines, for the whole database."""

from collections.abc import Iterator

from .calc.stretches import fits_in_order, merged_fault_length
from .ledger.checks import stretches
from .ledger.locking import open_faults, open_set_asides
from .models import Container, Roll


def differences() -> Iterator[str]:
    """One sentence for each thing that is not as the rules of the ledger say; nothing when all is well."""
    for roll in Roll.objects.order_by("pk").iterator(chunk_size=500):
        yield from roll_differences(roll)
    for container in Container.objects.order_by("pk").iterator(chunk_size=500):
        yield from _running_balance(
            f"container {container.code}",
            "g",
            container.mass_g,
            container.movements.order_by("pk").values_list("pk", "delta_g", "balance_after_g"),
        )


def roll_differences(roll: Roll) -> Iterator[str]:
    lines = roll.movements.order_by("pk").values_list("pk", "delta_mm", "balance_after_mm")
    yield from _running_balance(str(roll), "mm", roll.length_mm, lines)
    promises = open_set_asides(roll)
    promised = sum(promise.length_mm for promise in promises)
    if promised != roll.set_aside_mm:
        yield f"{roll}: {roll.set_aside_mm} mm stored as set aside, but the open promises add up to {promised} mm."
    faulty = merged_fault_length(roll.length_mm, [(fault.from_mm, fault.to_mm) for fault in open_faults(roll)])
    if faulty != roll.faulty_mm:
        yield f"{roll}: {roll.faulty_mm} mm stored as under faults, but the faults cover {faulty} mm."
    if not fits_in_order([promise.length_mm for promise in promises], stretches(roll)):
        yield f"{roll}: what is set aside does not come out of its clean stretches."
    if roll.is_open == (roll.length_mm == 0):
        yield f"{roll}: {roll.length_mm} mm left, but {'open' if roll.is_open else 'closed'}."


def _running_balance(name: str, unit: str, stored: int, lines) -> Iterator[str]:
    balance = 0
    for pk, delta, after in lines:
        balance += delta
        if balance != after or balance < 0:
            yield f"{name}: line {pk} says {after} {unit} left, the lines up to it add up to {balance} {unit}."
            return
    if balance != stored:
        yield f"{name}: {stored} {unit} stored, but its lines add up to {balance} {unit}."
