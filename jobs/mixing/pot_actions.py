"""Confirming a pot: what was weighed is drawn from the ledger and tied to the job and its plies."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.mix_plan import CannotMix, Conditions, NextPot, Sheet, bands_of, containers_for, sheet_of
from jobs.models import Job, Mix, MixDraw, MixPly
from jobs.plans import lock_job
from jobs.queries import with_lay_up
from shopstock import ledger
from shopstock.calc.dose import check_dose, off_the_dose, percent_of
from shopstock.calc.mix_ratio import AGREE
from shopstock.models import Chemical, Container, ContainerMovement, Shop


class PotIsStale(CannotMix):
    """The pot on the page was mixed already, or the plan has changed."""


class WrongMix(CannotMix):
    """What was weighed does not make the mix the data sheet allows."""


@dataclass(frozen=True)
class Weighed:
    """A mass in g out of one container; the ledger keeps whole grams, the dose is judged by what was weighed."""

    container: Container
    mass_g: int | Decimal

    @property
    def whole_g(self) -> int:
        return max(1, round(self.mass_g))


@transaction.atomic
def mix_pot(
    *,
    job: Job,
    what: str,
    number: int,
    conditions: Conditions,
    resin: Sequence[Weighed],
    second: Weighed,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    out_of_order: str = "",
) -> Mix:
    """Draw what was weighed and keep the pot; the same key twice is one pot."""
    job = lock_job(job)
    known = Mix.objects.filter(key=key).first()
    if known is not None:
        return known
    _require_not_cancelled(job)
    job = with_lay_up(Job.objects.filter(pk=job.pk)).get()
    sheet = sheet_of(job, what, conditions, Shop.current())
    pot = sheet.next_pots[0]
    if pot.number != number:
        raise PotIsStale("That pot was mixed already. This is the next one.")
    resin_g = sum(item.whole_g for item in resin)
    _require_products(sheet.product, conditions.second, resin, second)
    _require_right_mix(sheet.product, conditions, resin_g, Decimal(second.mass_g))
    draws = _draw_all(job, sheet, pot, resin, second, out_of_order, by=by, at=at, key=key)
    return _keep(job, what, pot, conditions, draws, resin_g, Decimal(second.mass_g), by=by, at=at, key=key)


def _require_not_cancelled(job: Job) -> None:
    if job.state == Job.State.CANCELLED:
        raise CannotMix(f"{job} is cancelled: nothing is mixed for it.")


def _require_products(product: Chemical, second: Chemical, resin: Sequence[Weighed], other: Weighed) -> None:
    for wanted, item in [*((product, item) for item in resin), (second, other)]:
        if item.container.chemical_id != wanted.pk:
            raise WrongMix(
                f"{item.container.code} holds {item.container.chemical}, not {wanted}. Scan the right container."
            )


def _require_right_mix(product: Chemical, conditions: Conditions, resin_g: int, second_g: Decimal) -> None:
    """Outside the data sheet nothing is mixed; what is in the cup already must be thrown away as waste."""
    if product.takes_catalyst:
        check_dose(float(round(percent_of(second_g, resin_g), 2)), conditions.temperature_c, bands_of(product))
        return
    right_g = resin_g * float(conditions.second.parts_by_mass) / 100
    if abs(float(second_g) - right_g) > AGREE * right_g:
        raise WrongMix(
            f"{resin_g} g of resin take {right_g:.0f} g of hardener, not {float(second_g):g} g. "
            "The ratio is fixed: weigh again."
        )


def _draw_all(
    job: Job,
    sheet: Sheet,
    pot: NextPot,
    resin: Sequence[Weighed],
    second: Weighed,
    out_of_order: str,
    **who,
) -> list[tuple[ContainerMovement, str]]:
    names = ", ".join(left.name for left, _ in pot.plies)
    reason = f"{job}, pot {pot.number}: {names}"[:200]
    left_g = sum(ply.left_g for ply in sheet.plies)
    key, draws = who.pop("key"), []
    for turn, item in enumerate(resin):
        passed = _passed_over(job, sheet.product, item, left_g, out_of_order, on=who["at"].date())
        line = ledger.draw(
            container=item.container,
            mass_g=item.whole_g,
            key=f"{key}:r{turn}",
            reason=f"{reason}{passed}",
            order_is_settled=True,
            **who,
        )
        draws.append((line, MixDraw.Role.RESIN))
    role = MixDraw.Role.CATALYST if sheet.product.takes_catalyst else MixDraw.Role.HARDENER
    line = ledger.draw(
        container=second.container,
        mass_g=second.whole_g,
        key=f"{key}:s",
        reason=reason,
        out_of_order=out_of_order,
        **who,
    )
    return [*draws, (line, role)]


def _passed_over(job: Job, product: Chemical, item: Weighed, left_g: float, why: str, *, on: datetime.date) -> str:
    """Nothing when the container is the right one; else the words that keep who decided, or a refusal."""
    order = containers_for(job, product, left_g, on)
    if not order or order[0] == item.container or item.container not in order:
        return ""  # what is past its date or empty is refused by the ledger itself
    first = order[0]
    if not why.strip():
        place = f" ({first.place})" if first.place else ""
        raise ledger.WrongContainer(
            f"Take {first.code}{place} first, batch {first.batch or 'not noted'}: it ends on {first.expires_on}.", first
        )
    return f"; taken before {first.code}, which goes first: {why.strip()}"


def _keep(
    job: Job,
    what: str,
    pot: NextPot,
    conditions: Conditions,
    draws: Sequence[tuple[ContainerMovement, str]],
    resin_g: int,
    second_g: Decimal,
    **who,
) -> Mix:
    percent = None if conditions.percent is None else round(percent_of(second_g, resin_g), 2)
    mix = Mix.objects.create(
        job=job,
        what=what,
        number=pot.number,
        planned_g=pot.pot.mass_g,
        mixed_g=resin_g if conditions.percent is not None else resin_g + round(second_g),
        reinforcement_g=pot.reinforcement_g,
        temperature_c=round(conditions.temperature_c, 1),
        percent=percent,
        **who,
    )
    MixDraw.objects.bulk_create(MixDraw(mix=mix, movement=line, role=role) for line, role in draws)
    MixPly.objects.bulk_create(
        MixPly(mix=mix, ply=left.ply, name=left.name, mass_g=mass_g) for left, mass_g in pot.plies
    )
    return mix


def dose_warning(mix: Mix, asked_percent: float | None) -> str:
    """What to say of a dose that the sheet allows but that is not the one asked for."""
    return "" if mix.percent is None or asked_percent is None else off_the_dose(float(mix.percent), asked_percent)
