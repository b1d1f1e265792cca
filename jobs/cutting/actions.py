import datetime
from collections.abc import Sequence

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from jobs.free_cloth import FreeCloth, free_cloth
from jobs.models import CuttingPlan, Job, PlannedBlank, PlannedStrip
from jobs.planning import CannotPlan, MaterialPlan, plan_lay_up, reinforcements_of
from jobs.plans import drop_offers, give_back_plan, lock_job, require_planned_work
from jobs.queries import confirmed_plan, cut_pieces, cut_widths_mm, open_promises, with_lay_up
from shopstock import ledger
from shopstock.ledger.locking import lock_rolls
from shopstock.models import SetAside, Shop

from .material_rows import material_row, offcuts_by_strip
from .stock_seen import differences, seen


class StalePlan(Exception):
    """The racks have changed since the plan was made; `changes` says which roll and how."""

    def __init__(self, changes: Sequence[str]):
        super().__init__(" ".join(changes))
        self.changes = list(changes)


class PlanGone(Exception):
    """The plan was replaced, cancelled or made for another lay-up."""


class PlanIsShort(Exception):
    """A plan with pieces short is confirmed only on purpose."""


def make_plan(*, job: Job, by: AbstractBaseUser, at: datetime.datetime) -> CuttingPlan:
    """Plan what of the job is not cut yet on what is free now, and put the plan on offer."""
    require_planned_work(job)
    job = with_lay_up(Job.objects.filter(pk=job.pk)).get()
    shop = Shop.current()
    kinds = reinforcements_of([job])
    if not kinds:
        raise CannotPlan("There is nothing to cut yet. Add a part and its plies first.")
    cloth = free_cloth(list(kinds), shop, as_if_given_back=_own_promises(job))
    materials = plan_lay_up(job, cloth, shop, done=cut_pieces(job), kept_widths_mm=cut_widths_mm(job))
    materials = [material for material in materials if material.pieces or material.short]
    if not materials:
        raise CannotPlan("Every piece of this job is cut already: there is nothing left to plan.")
    return _save(job, materials, shop, by=by, at=at)


def _own_promises(job: Job) -> set[int]:
    """What a plan confirmed earlier holds, and a new one would give back first."""
    plan = confirmed_plan(job)
    return set() if plan is None else set(open_promises(plan).values_list("pk", flat=True))


@transaction.atomic
def _save(
    job: Job, materials: list[MaterialPlan], shop: Shop, *, by: AbstractBaseUser, at: datetime.datetime
) -> CuttingPlan:
    job.plans.filter(state=CuttingPlan.State.OFFERED).update(state=CuttingPlan.State.REPLACED)
    plan = CuttingPlan.objects.create(
        job=job,
        made_by=by,
        made_at=at,
        materials=[material_row(material) for material in materials],
        stock_seen={str(cloth.roll.pk): seen(cloth) for cloth in _used(materials)},
    )
    for material in materials:
        _save_strips(plan, material)
    return plan


def _used(materials: list[MaterialPlan]) -> list[FreeCloth]:
    return list({strip.cloth.roll.pk: strip.cloth for m in materials for strip in m.strips}.values())


def _save_strips(plan: CuttingPlan, material: MaterialPlan) -> None:
    pieces = material.pieces_by_id
    for strip in material.strips:
        row = PlannedStrip.objects.create(
            plan=plan,
            roll=strip.cloth.roll,
            number=strip.number,
            from_mm=strip.from_mm,
            length_mm=strip.length_mm,
        )
        PlannedBlank.objects.bulk_create(
            PlannedBlank(
                strip=row,
                ply_id=pieces[blank.id].ply_id,
                name=pieces[blank.id].name,
                x_mm=blank.x_mm,
                y_mm=blank.y_mm,
                across_mm=blank.across_mm,
                along_mm=blank.along_mm,
                turned=blank.turned,
            )
            for blank in strip.blanks
        )


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
            f"{job}: strip {strip.number}",
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


def lengths_given_back(plan: CuttingPlan) -> int:
    """Total length (mm) of the confirmed plan's strips that the ledger had to give back."""
    return sum(plan.strips.filter(set_aside__state=SetAside.State.GIVEN_BACK).values_list("length_mm", flat=True), 0)
