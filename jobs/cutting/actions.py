import datetime
from collections.abc import Iterable, Mapping, Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from jobs.designers import require_designers
from jobs.free_cloth import has_ended
from jobs.job_cloth import day_of_cutting
from jobs.laying import taken_across
from jobs.material_rows import kept_beside, offcuts_by_strip
from jobs.models import CuttingPlan, Job, PlannedStrip
from jobs.plan_runs import cancel_runs
from jobs.plans import drop_offers, give_back_plan, lock_job, require_firm, require_planned_work
from jobs.precedences import let_before
from jobs.queries import confirmed_plan, jobs_of, open_promises, strips_in_order
from jobs.standing import Ahead
from jobs.stock_seen import differences
from shopstock import ledger
from shopstock.ledger.locking import lock_rolls
from shopstock.models import Roll
from shopstock.prepreg import last_day

LONGEST_PURPOSE = 120


class StalePlan(Exception):
    """The racks have changed since the plan was made; `changes` says which roll and how."""

    def __init__(self, changes: Sequence[str]):
        super().__init__(" ".join(changes))
        self.changes = list(changes)


class PlanGone(Exception):
    """The plan was replaced, cancelled or made for another lay-up."""


class PlanIsShort(Exception):
    """A plan with pieces short is confirmed only on purpose."""


class PlanBettered(Exception):
    """The search found a better plan while somebody looked at the one before."""


class TakesFromOthers(Exception):
    """The plan takes cloth that jobs served before it need; `jobs` are those. It is for a person to decide."""

    def __init__(self, jobs: Sequence[Job]):
        names = ", ".join(map(str, jobs))
        super().__init__(f"This takes cloth that is needed for {names}, served before it. Say why it goes first.")
        self.jobs = list(jobs)


@transaction.atomic
def confirm_plan(
    *,
    plan: CuttingPlan,
    by: AbstractBaseUser,
    at: datetime.datetime,
    accept_short: bool = False,
    revision: int | None = None,
    designers: Mapping[int, str] | None = None,
    why_first: str = "",
) -> CuttingPlan:
    """Set the lengths aside, all or none, if every roll still stands as the plan saw it. Twice is once.

    `revision` is the plan as the person saw it; a plan that was bettered meanwhile is not confirmed unseen.
    `designers` names, by stand-in, who agreed to it; raises DesignerMissing where a class asks for one and none is
    there. `why_first` is the reason why it may take cloth from jobs that are served before it; with none, such a plan
    raises TakesFromOthers and nothing is set aside; so it is with NotDecided where the contrary was decided before.
    """
    jobs = [lock_job(job) for job in jobs_of(plan).order_by("pk")]
    plan = CuttingPlan.objects.get(pk=plan.pk)
    if plan.state == CuttingPlan.State.CONFIRMED:
        return plan
    if plan.state != CuttingPlan.State.OFFERED:
        raise PlanGone(f"This plan is {plan.get_state_display()}: plan the cutting again.")
    for job in jobs:
        require_planned_work(job)
        require_firm(job)
    if revision is not None and revision != plan.revision:
        raise PlanBettered("A better plan was found while you looked. This is it: look, then confirm.")
    if plan.is_short and not accept_short:
        raise PlanIsShort("Pieces are short. Tick that you want to cut what there is, or order first.")
    require_designers(jobs, designers or {}, by=by, at=at)
    earlier = {found.pk: found for found in map(confirmed_plan, jobs) if found is not None}
    _check_stock(plan, earlier.values(), jobs, at)
    ahead = Ahead.of(jobs, frozenset(row["reinforcement"] for row in plan.materials), timezone.localdate(at))
    for old in earlier.values():
        give_back_plan(old, state=CuttingPlan.State.REPLACED, at=at)
    _set_aside(plan, by=by, at=at)
    _settle_with(ahead, jobs, why_first, by=by, at=at)
    plan.state, plan.confirmed_by, plan.confirmed_at = CuttingPlan.State.CONFIRMED, by, at
    plan.save(update_fields=["state", "confirmed_by", "confirmed_at"])
    Job.objects.filter(pk__in=[job.pk for job in jobs]).update(state=Job.State.READY)
    cancel_runs([plan], at=at, reason="the plan was confirmed as it stood")
    return plan


def _settle_with(
    ahead: Ahead, jobs: Sequence[Job], why_first: str, *, by: AbstractBaseUser, at: datetime.datetime
) -> None:
    """Nothing is taken from jobs that are served before without a decision by name."""
    worse_off = ahead.worse_off()
    if worse_off and not why_first.strip():
        raise TakesFromOthers(worse_off)
    for job in jobs:
        if wait := ahead.served_before(job, worse_off):
            let_before(first=job, then=wait, reason=why_first, by=by, at=at)


def _check_stock(plan: CuttingPlan, earlier: Iterable[CuttingPlan], jobs: Sequence[Job], at: datetime.datetime) -> None:
    """Lock every roll that is going to change, in one order, and compare it with what the plan saw."""
    own = [promise for old in earlier for promise in open_promises(old)]
    wanted = [int(pk) for pk in plan.stock_seen]
    lock_rolls([*wanted, *(promise.roll_id for promise in own)])
    changes = differences(plan.stock_seen, as_if_given_back={promise.pk for promise in own})
    changes += _out_of_date(wanted, day_of_cutting(jobs, at), at)
    if changes:
        raise StalePlan(changes)


def _out_of_date(rolls: Sequence[int], cut_on: datetime.date, at: datetime.datetime) -> list[str]:
    """Rolls that end before they are cut: a date was noted, prepreg was taken out, or the job was put off."""
    rows = Roll.objects.filter(pk__in=rolls).select_related("reinforcement", "parent__parent").order_by("pk")
    return [
        f"Roll {roll.code} ends on {last_day(roll, at)}; it is to be cut on {cut_on}."
        for roll in rows
        if has_ended(roll, at, cut_on)
    ]


def _set_aside(plan: CuttingPlan, *, by: AbstractBaseUser, at: datetime.datetime) -> None:
    strips = list(strips_in_order(plan).order_by("roll_id", "number"))
    offcuts, beside = offcuts_by_strip(plan), kept_beside(plan)
    promises = [
        ledger.Promise(
            strip.roll,
            strip.length_mm,
            purpose_of(plan, strip),
            tuple(offcuts[strip.roll.code, strip.number]),
            taken_across(
                strip.blanks.all(),
                [piece for piece in beside[strip.roll.code, strip.number] if piece.from_mm >= strip.from_mm],
            ),
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


def purpose_of(plan: CuttingPlan, strip: PlannedStrip) -> str:
    """The jobs whose pieces a strip holds; one without pieces is cut off for the job the plan is filed under."""
    names = dict.fromkeys(str(blank.ply.part.job) for blank in strip.blanks.all())
    words = " + ".join(names) if names else f"{plan.job}, end before a marked strip"
    return words if len(words) <= LONGEST_PURPOSE else f"{words[: LONGEST_PURPOSE - 1]}…"


@transaction.atomic
def cancel_plan(*, plan: CuttingPlan, at: datetime.datetime) -> int:
    """Give back what is set aside for a plan; what was cut stays cut. Returns how many strips were given back."""
    jobs = [lock_job(job) for job in jobs_of(plan).order_by("pk")]
    plan = CuttingPlan.objects.get(pk=plan.pk)
    if plan.state not in (CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED):
        return 0
    given_back = give_back_plan(plan, state=CuttingPlan.State.CANCELLED, at=at)
    if plan.state == CuttingPlan.State.CONFIRMED:
        for job in jobs:
            if Job.objects.filter(pk=job.pk, state=Job.State.READY).update(state=Job.State.DRAFT):
                drop_offers(job, at=at)
    return given_back
