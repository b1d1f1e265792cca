import datetime

from django.db import transaction

from shopstock import ledger
from shopstock.models import Container, ContainerMovement


@transaction.atomic
def receive_alike(*, count: int, key: str, **wish) -> list[Container]:
    """Log containers of one batch, all or none; each gets its own code and its own key."""
    wish["supplier"] = wish.get("supplier") or wish["chemical"].supplier
    return [ledger.receive_container(key=f"{key}:{number}", **wish) for number in range(count)]


@transaction.atomic
def weigh(
    *, container: Container, gross: int, tare: int, by, at: datetime.datetime, key: str, reason: str
) -> ContainerMovement:
    """Set the ledger to gross less empty weight (g), and keep the empty weight for the next time."""
    line = ledger.recount_container(container=container, mass_g=gross - tare, by=by, at=at, key=key, reason=reason)
    Container.objects.filter(pk=container.pk).update(tare_g=tare)
    return line
