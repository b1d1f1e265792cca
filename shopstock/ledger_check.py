"""The proof of the ledger: every balance and every link recomputed from the lines, for the whole database."""

from collections import defaultdict
from collections.abc import Iterator, Sequence

from django.db import connection

from .append_only import missing_triggers
from .calc.hash_chain import START, link
from .calc.stretches import length_lost, starts_of
from .ledger.chain import content_of
from .models import Container, ContainerMovement, Fault, Movement, Roll, SetAside

BATCH = 500


def differences() -> Iterator[str]:
    """One sentence for each thing that is not as the rules of the ledger say; nothing when all is well."""
    for trigger in missing_triggers(connection):
        yield f"The guard {trigger} is missing from the database: lines of the ledger can be changed. Restore a backup."
    for rolls in _batches(Roll):
        lines = _by_owner(Movement.objects.filter(roll__in=rolls).order_by("pk"), "roll_id")
        faults = _by_owner(Fault.objects.filter(roll__in=rolls, cleared_at__isnull=True), "roll_id")
        promises = _by_owner(_open_set_asides(rolls), "roll_id")
        for roll in rolls:
            yield from _roll_differences(roll, lines[roll.pk], faults[roll.pk], promises[roll.pk])
    for containers in _batches(Container):
        lines = _by_owner(ContainerMovement.objects.filter(container__in=containers).order_by("pk"), "container_id")
        for container in containers:
            yield from _container_differences(container, lines[container.pk])


def _batches(table) -> Iterator[list]:
    last = 0
    while batch := list(table.objects.filter(pk__gt=last).order_by("pk")[:BATCH]):
        yield batch
        last = batch[-1].pk


def _by_owner(rows, owner: str) -> defaultdict[int, list]:
    found = defaultdict(list)
    for row in rows:
        found[getattr(row, owner)].append(row)
    return found


def _open_set_asides(rolls: Sequence[Roll]):
    return SetAside.objects.filter(roll__in=rolls, state=SetAside.State.OPEN).order_by("number", "pk")


def _roll_differences(roll: Roll, lines: list[Movement], faults: list[Fault], promises: list[SetAside]):
    name = str(roll)
    yield from _chain(name, roll, lines)
    yield from _running_balance(name, "mm", roll.length_mm, [(n.pk, n.delta_mm, n.balance_after_mm) for n in lines])
    promised = sum(promise.length_mm for promise in promises)
    if promised != roll.set_aside_mm:
        yield f"{name}: {roll.set_aside_mm} mm stored as set aside, but the open promises add up to {promised} mm."
    faults = [fault for fault in faults if fault.from_mm < roll.length_mm]
    faulty = length_lost(roll.length_mm, faults, promises)
    if faulty != roll.faulty_mm:
        yield f"{name}: {roll.faulty_mm} mm stored as under faults, but the faults cover {faulty} mm."
    if starts_of(promises, roll.length_mm, faults) is None:
        yield f"{name}: what is set aside does not come out of its clean stretches."
    if roll.is_open == (roll.length_mm == 0):
        yield f"{name}: {roll.length_mm} mm left, but {'open' if roll.is_open else 'closed'}."


def _container_differences(container: Container, lines: list[ContainerMovement]) -> Iterator[str]:
    name = str(container)
    yield from _chain(name, container, lines)
    balances = [(line.pk, line.delta_g, line.balance_after_g) for line in lines]
    yield from _running_balance(name, "g", container.mass_g, balances)


def _chain(name: str, owner: Roll | Container, lines: list) -> Iterator[str]:
    """The first line that does not follow from the one before it, or the lines that are gone from the end."""
    if len(lines) != owner.line_count:
        what = "taken out" if len(lines) < owner.line_count else "put in"
        yield f"{name}: {owner.line_count} lines were written, {len(lines)} are there: some were {what}."
    previous = START
    for line in lines:
        if line.link != link(previous, content_of(line, owner.code)):
            yield (
                f"{name}: line {line.pk} ({line}, recorded {line.recorded_at:%Y-%m-%d %H:%M}) is not as it was written "
                "or does not follow the line that stood before it: it was changed behind the program's back."
            )
            return
        previous = line.link
    if previous != owner.last_link:
        yield f"{name}: its last line is not the one that was written last: it was changed behind the program's back."


def _running_balance(name: str, unit: str, stored: int, lines: list[tuple[int, int, int]]) -> Iterator[str]:
    balance = 0
    for pk, delta, after in lines:
        balance += delta
        if balance != after or balance < 0:
            yield f"{name}: line {pk} says {after} {unit} left, the lines up to it add up to {balance} {unit}."
            return
    if balance != stored:
        yield f"{name}: {stored} {unit} stored, but its lines add up to {balance} {unit}."
