import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock.models import Chemical, Container, ContainerMovement, Place, Supplier

from .errors import LedgerError, NotEnough
from .lines import write_mass_line
from .locking import earlier_mass, lock_container
from .once import one_transaction


class ContainerError(LedgerError):
    """A wish about a drum or can that the ledger refuses."""


def kilograms(mass_g: int) -> str:
    return f"{mass_g / 1000:.2f} kg"


@one_transaction
def receive_container(
    *,
    chemical: Chemical,
    mass_g: int,
    label_date: datetime.date,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    batch: str = "",
    received_on: datetime.date | None = None,
    supplier: Supplier | None = None,
    place: Place | None = None,
    tare_g: int | None = None,
    opened_on: datetime.date | None = None,
) -> Container:
    from .movements import new_code  # movements imports the tables of both ledgers

    line = earlier_mass(key, kind=ContainerMovement.Kind.RECEIPT, delta_g=mass_g)
    if line is not None:
        return line.container
    if mass_g <= 0:
        raise ContainerError("A container must hold something. Enter its net mass.")
    received = received_on or at.date()
    if opened_on is not None and opened_on < received:
        raise ContainerError("Opened before it was received: check the two dates.")
    container = Container.objects.create(
        code=new_code(),
        chemical=chemical,
        supplier=supplier,
        batch=batch,
        place=place,
        label_date=label_date,
        tare_g=tare_g,
        opened_on=opened_on,
        received_on=received,
    )
    write_mass_line(container, ContainerMovement.Kind.RECEIPT, mass_g, by=by, at=at, key=key)
    return container


@one_transaction
def draw(
    *, container: Container, mass_g: int, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str = ""
) -> ContainerMovement:
    """Take resin out; the first draw opens the container. What is past its date is refused."""
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.DRAW, delta_g=-mass_g)
    if line is not None:
        return line
    if mass_g <= 0:
        raise ContainerError("Enter how much was taken, in grams or kilograms.")
    if not container.is_open:
        raise ContainerError(f"Container {container.code} is empty or disposed of. Scan the one in front of you.")
    if container.expires_on < at.date():
        raise ContainerError(
            f"Container {container.code} went past its date on {container.expires_on}. Take another, and show this "
            "one to the owner."
        )
    if mass_g > container.mass_g:
        raise NotEnough(
            f"Container {container.code} has {kilograms(container.mass_g)} left; {kilograms(mass_g)} is more. "
            "Check the figure, or weigh the container."
        )
    container.opened_on = container.opened_on or at.date()
    return write_mass_line(container, ContainerMovement.Kind.DRAW, -mass_g, by=by, at=at, key=key, reason=reason)


@one_transaction
def open_container(*, container: Container, on: datetime.date) -> Container:
    """Note the day a container was opened, when nothing is drawn from it yet."""
    container = lock_container(container)
    if container.opened_on is None:
        if on < container.received_on:
            raise ContainerError("Opened before it was received: check the two dates.")
        container.opened_on = on
        container.save(update_fields=["opened_on"])
    return container


@one_transaction
def recount_container(
    *, container: Container, mass_g: int, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str
) -> ContainerMovement:
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.RECOUNT, balance_after_g=mass_g)
    if line is not None:
        return line
    if mass_g < 0:
        raise ContainerError("A container cannot hold less than nothing. Take the empty weight off the gross once.")
    return write_mass_line(
        container, ContainerMovement.Kind.RECOUNT, mass_g - container.mass_g, by=by, at=at, key=key, reason=reason
    )


@one_transaction
def dispose(
    *, container: Container, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str
) -> ContainerMovement:
    """Throw the rest away, with the waste note as the reason."""
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.DISPOSAL)
    if line is not None:
        return line
    if not container.is_open:
        raise ContainerError(f"Container {container.code} is already empty or disposed of.")
    if not reason.strip():
        raise ContainerError("Say where it goes: the waste note is kept.")
    return write_mass_line(
        container, ContainerMovement.Kind.DISPOSAL, -container.mass_g, by=by, at=at, key=key, reason=reason
    )
