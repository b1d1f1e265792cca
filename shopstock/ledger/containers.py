import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.calc.issue_order import Stock, goes_before, issue_order
from shopstock.models import Chemical, Container, ContainerMovement, Place, Supplier
from shopstock.models.roll import STILL_OPEN

from .errors import LedgerError, NotEnough
from .lines import write_mass_line
from .locking import earlier_mass, lock_container
from .once import one_transaction
from .standing import require_may_stand


class ContainerError(LedgerError):
    """A wish about a drum or can that the ledger refuses."""


class WrongContainer(ContainerError):
    """Another container of the product goes first; `first` is the one to take."""

    def __init__(self, message: str, first: Container):
        super().__init__(message)
        self.first = first


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
    gross_g: int | None = None,
    opened_on: datetime.date | None = None,
    made_on: datetime.date | None = None,
    label_precision: str = Container.Precision.DAY,
    vessel: str = "",
    reason: str = "",
) -> Container:
    from .movements import new_code  # movements imports the tables of both ledgers

    line = earlier_mass(key, kind=ContainerMovement.Kind.RECEIPT, delta_g=mass_g)
    if line is not None:
        return line.container
    if mass_g <= 0:
        raise ContainerError("A container must hold something. Enter its net mass.")
    received = received_on or timezone.localdate(at)
    if opened_on is not None and opened_on < received:
        raise ContainerError("Opened before it was received: check the two dates.")
    if made_on is not None and not made_on <= min(received, label_date):
        raise ContainerError("It was made after it came in or after its date: check the dates.")
    container = Container.objects.create(
        code=new_code(),
        chemical=chemical,
        supplier=supplier,
        batch=batch,
        place=place,
        label_date=label_date,
        label_precision=label_precision,
        made_on=made_on,
        vessel=vessel,
        tare_g=tare_g,
        gross_g=gross_g,
        opened_on=opened_on,
        received_on=received,
    )
    if place is not None:
        require_may_stand(container, place)
    write_mass_line(container, ContainerMovement.Kind.RECEIPT, mass_g, by=by, at=at, key=key, reason=reason)
    return container


@one_transaction
def draw(
    *,
    container: Container,
    mass_g: int,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    reason: str = "",
    out_of_order: str = "",
    order_is_settled: bool = False,
) -> ContainerMovement:
    """Take resin out; the first draw opens the container. What is past its date is refused.

    So is a draw from one that is not the first to go, unless `out_of_order` says why: it is kept in the ledger under
    the name of who decided. `order_is_settled` is for a job whose batch decides instead.
    """
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.DRAW, delta_g=-mass_g)
    if line is not None:
        return line
    if mass_g <= 0:
        raise ContainerError("Enter how much was taken, in grams or kilograms.")
    require_in_store(container)
    if container.expires_on < timezone.localdate(at):
        raise ContainerError(
            f"Container {container.code} went past its date on {container.expires_on}. Take another, and show this "
            "one to the owner."
        )
    if mass_g > container.mass_g:
        raise NotEnough(
            f"Container {container.code} has {kilograms(container.mass_g)} left; {kilograms(mass_g)} is more. "
            "Check the figure, or weigh the container."
        )
    first = None if order_is_settled else goes_first(container, on=timezone.localdate(at))
    if first is not None and not out_of_order.strip():
        raise WrongContainer(
            f"Take {first.code} first: it ends on {first.expires_on}, {container.code} on {container.expires_on}.",
            first,
        )
    if first is not None:
        passed = f"taken before {first.code}, which goes first: {out_of_order.strip()}"
        reason = f"{reason}; {passed}" if reason else passed
    container.opened_on = container.opened_on or timezone.localdate(at)
    return write_mass_line(container, ContainerMovement.Kind.DRAW, -mass_g, by=by, at=at, key=key, reason=reason[:300])


def require_in_store(container: Container) -> None:
    if not container.is_open:
        raise ContainerError(f"Container {container.code} is empty or disposed of. Scan the one in front of you.")


def as_stock(container: Container) -> Stock:
    return Stock(
        code=container.code,
        mass_g=container.mass_g,
        expires_on=container.expires_on,
        opened=container.opened_on is not None,
        received_on=container.received_on,
        batch=container.batch,
    )


def goes_first(container: Container, *, on: datetime.date) -> Container | None:
    """The container of the same product that must go before this one, or None when this one is right to take."""
    rows = Container.objects.filter(chemical=container.chemical, closed_on=STILL_OPEN)
    by_code = {row.code: row for row in rows.select_related("chemical", "place")}
    order = issue_order(map(as_stock, by_code.values()), on)
    if not order or not goes_before(order[0], as_stock(container)):
        return None
    return by_code[order[0].code]


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
def move_container(
    *, container: Container, place: Place, by: AbstractBaseUser, at: datetime.datetime, key: str, note: str = ""
) -> ContainerMovement:
    """Put it somewhere else; `note` keeps a warning that was passed over, and why."""
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.MOVE)
    if line is not None:
        return line
    require_in_store(container)
    require_may_stand(container, place)
    container.place = place
    reason = f"to {place}; {note}" if note else f"to {place}"
    return write_mass_line(container, ContainerMovement.Kind.MOVE, 0, by=by, at=at, key=key, reason=reason[:300])


@one_transaction
def lose_from_container(
    *, container: Container, mass_g: int, by: AbstractBaseUser, at: datetime.datetime, key: str, reason: str
) -> ContainerMovement:
    """Write off what leaked, was spilled or cured in the can."""
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.LOSS, delta_g=-mass_g)
    if line is not None:
        return line
    require_in_store(container)
    if mass_g <= 0:
        raise ContainerError("Enter how much was lost, in grams or kilograms.")
    if mass_g > container.mass_g:
        raise NotEnough(
            f"Container {container.code} has {kilograms(container.mass_g)} left. Weigh it if that is wrong."
        )
    if not reason.strip():
        raise ContainerError("Say how it was lost: the loss is totalled by reason.")
    return write_mass_line(container, ContainerMovement.Kind.LOSS, -mass_g, by=by, at=at, key=key, reason=reason)


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
