"""Taking the write lock of what becomes scarcer, and recognising a wish that came twice."""

from collections.abc import Iterable

from django.db.models import F

from shopstock.calc.stretches import length_lost
from shopstock.models import Container, ContainerMovement, Fault, Movement, Place, Roll, SetAside

from .errors import KeyReused, LedgerError


def lock_rolls(ids: Iterable[int]) -> dict[int, Roll]:
    """Lock rolls in id order and return them as they stand now.

    The lock is a write, not a read: SQLite has no row locks and PostgreSQL's readers do not wait for one another.
    """
    wanted = sorted(set(ids))
    for pk in wanted:
        if not Roll.objects.filter(pk=pk).update(version=F("version") + 1):
            raise LedgerError("That roll is not in the store any more. Scan its label again.")
    return Roll.objects.select_related("reinforcement").in_bulk(wanted)


def lock_roll(roll: Roll) -> Roll:
    return lock_rolls([roll.pk])[roll.pk]


def lock_container(container: Container) -> Container:
    if not Container.objects.filter(pk=container.pk).update(version=F("version") + 1):
        raise LedgerError("That container is not in the store any more. Scan its label again.")
    return Container.objects.select_related("chemical").get(pk=container.pk)


def lock_place(place: Place) -> None:
    """After what is put there: two things brought to one place at the same instant see one another."""
    Place.objects.filter(pk=place.pk).update(name=F("name"))


def open_faults(roll: Roll) -> list[Fault]:
    return list(Fault.objects.filter(roll=roll, cleared_at__isnull=True, from_mm__lt=roll.length_mm))


def open_set_asides(roll: Roll) -> list[SetAside]:
    return list(SetAside.objects.filter(roll=roll, state=SetAside.State.OPEN).order_by("number", "pk"))


def lost_mm(roll: Roll) -> int:
    """Length under faults that nothing set aside lies beside."""
    faults = open_faults(roll)
    beside = roll.set_aside_mm and any(fault.across_mm for fault in faults)
    return length_lost(roll.length_mm, faults, open_set_asides(roll) if beside else [])


def earlier(key: str, **content) -> Movement | None:
    """The movement this key already made, or None; refuses the key when it stood for something else."""
    return _same(Movement.objects.filter(key=key).first(), content)


def earlier_mass(key: str, **content) -> ContainerMovement | None:
    return _same(ContainerMovement.objects.filter(key=key).first(), content)


def _same(line, content: dict):
    if line is None:
        return None
    differing = [name for name, value in content.items() if getattr(line, name) != value]
    if differing:
        raise KeyReused(
            "This form was already sent once, with other figures, and that entry stands. "
            "Open the page again to make a new entry."
        )
    line.replayed = True
    return line
