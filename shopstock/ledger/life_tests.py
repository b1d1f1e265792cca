"""A test of resin whose date has come: what was seen, and by how much it extends the date, once a test."""

import datetime
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.utils import timezone

from shopstock.models import Chemical, Container, ContainerMovement, LifeTest

from .containers import ContainerError, require_in_store
from .lines import write_mass_line
from .locking import earlier_mass, lock_container
from .once import one_transaction


class LifeEnds(ContainerError):
    """A product whose date ends its life for good, whatever a test says."""


@one_transaction
def record_life_test(
    *,
    container: Container,
    tested_on: datetime.date,
    gel_minutes: Decimal,
    cured: bool,
    result: str,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    new_end: datetime.date | None = None,
) -> LifeTest:
    """Keep a cup test; one that passes the data sheet's window moves the date to `new_end`."""
    container = lock_container(container)
    line = earlier_mass(key, container_id=container.pk, kind=ContainerMovement.Kind.TEST)
    if line is not None:
        return line.life_test
    require_in_store(container)
    _require_may_be_tested(container, tested_on, timezone.localdate(at), result)
    passed = cured and in_window(container.chemical, gel_minutes)
    old_end = container.expires_on
    if passed:
        _require_new_end(container, tested_on, new_end)
        container.tested_on, container.extended_to = tested_on, new_end
        container.save(update_fields=["tested_on", "extended_to"])
    outcome = f"passed, good to {new_end}" if passed else "failed"
    words = f"cup gelled in {gel_minutes:g} min, {'cured' if cured else 'did not cure'}; {outcome}: {result}"
    movement = write_mass_line(container, ContainerMovement.Kind.TEST, 0, by=by, at=at, key=key, reason=words[:300])
    return LifeTest.objects.create(
        container=container,
        movement=movement,
        tested_on=tested_on,
        gel_minutes=gel_minutes,
        cured=cured,
        result=result,
        passed=passed,
        old_end=old_end,
        new_end=new_end if passed else None,
        by=by,
        at=at,
    )


def in_window(chemical: Chemical, gel_minutes: Decimal) -> bool:
    """Whether a cup gel time lies inside what the data sheet gives."""
    least, most = chemical.gel_min_minutes, chemical.gel_max_minutes
    return least is not None and most is not None and least <= gel_minutes <= most


def _require_may_be_tested(container: Container, tested_on, today, result: str) -> None:
    chemical = container.chemical
    if chemical.life_type != Chemical.Life.TESTED:
        raise LifeEnds(
            f"{chemical} ends for good on its date (Type I): no test extends it. Dispose of it with a waste note."
        )
    if chemical.gel_min_minutes is None or chemical.gel_max_minutes is None:
        raise ContainerError(
            f"The cup gel time of {chemical} is not noted. Copy its window from the data sheet to its page first."
        )
    if tested_on > today or tested_on < container.received_on:
        raise ContainerError("A test is made after the container came in, and not in the future: check the day.")
    if container.tested_on is not None and tested_on <= container.tested_on:
        raise ContainerError(f"The test of {container.tested_on} was counted already. Each test extends once.")
    if not result.strip():
        raise ContainerError("Say what was seen in the cup: the next person relies on it.")


def _require_new_end(container: Container, tested_on, new_end) -> None:
    longest = tested_on + datetime.timedelta(days=container.chemical.extend_days)
    if new_end is None or not tested_on < new_end <= longest:
        raise ContainerError(
            f"A passed test extends by at most {container.chemical.extend_days} days. Choose a day up to {longest}."
        )
