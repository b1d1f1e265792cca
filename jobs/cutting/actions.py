import datetime
from collections.abc import Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.material_rows import offcuts_by_strip
from jobs.models import CuttingPlan, Job, PlannedStrip
from jobs.plans import drop_offers, give_back_plan, lock_job, require_planned_work
from jobs.queries import confirmed_plan, open_promises
from jobs.stock_seen import differences
from shopstock import ledger
from shopstock.ledger.locking import lock_rolls


class StalePlan(Exception):
    """The racks have changed since the plan was made; `changes` says which roll and how."""

    def __init__(self, changes: Sequence[str]):
        super().__init__(" ".join(changes))
        self.changes = list(changes)


class PlanGone(Exception):
    """The plan was replaced, cancelled or made for another lay-up."""


class PlanIsShort(Exception):
    """A plan with pieces short is confirmed only on purpose."""


@transaction.atomic
def confirm_plan(
    *, plan: CuttingPlan, by: AbstractBaseUser, at: datetime.datetime, accept_short: bool = False
) -> CuttingPlan:
    """Set the lengths aside, all or none, if every roll still stands as the plan saw it. Twice is once."""
    job = lock_job(plan.job)
    plan = CuttingPlan.objects.get(pk=plan.pk)
    if plan.state == CuttingPlan.State.CONFIRMED:
        return plan
    if plan.state != CuttingPlan.State.OFFERED:
        raise PlanGone(f"This plan is {plan.get_state_display()}: plan the cutting again.")
    require_planned_work(job)
    if plan.is_short and not accept_short:
        raise PlanIsShort("Pieces are short. Tick that you want to cut what there is, or order first.")
    earlier = confirmed_plan(job)
    _check_stock(plan, earlier)
    if earlier is not None:
        give_back_plan(earlier, state=CuttingPlan.State.REPLACED, at=at)
    _set_aside(plan, job, by=by, at=at)
    plan.state, plan.confirmed_by, plan.confirmed_at = CuttingPlan.State.CONFIRMED, by, at
    plan.save(update_fields=["state", "confirmed_by", "confirmed_at"])
    Job.objects.filter(pk=job.pk).update(state=Job.State.READY)
    return plan


def _check_stock(plan: CuttingPlan, earlier: CuttingPlan | None) -> None:
    """Lock every roll that is going to change, in one order, and compare it with what the plan saw."""
    own = [] if earlier is None else list(open_promises(earlier))
    wanted = [int(pk) for pk in plan.stock_seen]
    lock_rolls([*wanted, *(promise.roll_id for promise in own)])
    changes = differences(plan.stock_seen, as_if_given_back={promise.pk for promise in own})
    if changes:
        raise StalePlan(changes)


def _set_aside(plan: CuttingPlan, job: Job, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    strips = list(plan.strips.select_related("roll").order_by("roll_id", "number"))
    offcuts = offcuts_by_strip(plan)
    promises = [
        ledger.Promise(
            strip.roll,
            strip.length_mm,
            str(job),
            tuple(offcuts[strip.roll.code, strip.number]),
        )
        for strip in strips
    ]
    try:
        made = ledger.set_aside(promises=promises, by=by, at=at)
    except ledger.LedgerError as error:
        raise StalePlan([str(error)]) from error
    for strip, promise in zip(strips, made, strict=True):
        strip.set_aside = promise
    PlannedStrip.objects.bulk_update(strips, ["set_aside"])


@transaction.atomic
def cancel_plan(*, plan: CuttingPlan, at: datetime.datetime) -> int:
    """Give back what is set aside for a plan; what was cut stays cut. Returns how many strips were given back."""
    job = lock_job(plan.job)
    plan = CuttingPlan.objects.get(pk=plan.pk)
    if plan.state not in (CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED):
        return 0
    given_back = give_back_plan(plan, state=CuttingPlan.State.CANCELLED, at=at)
    if plan.state == CuttingPlan.State.CONFIRMED and job.state == Job.State.READY:
        Job.objects.filter(pk=job.pk).update(state=Job.State.DRAFT)
        drop_offers(job)
    return given_back
