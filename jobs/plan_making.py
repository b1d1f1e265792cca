"""Make a cutting plan of a job as the racks are now and put it on offer; several screens ask for one."""

import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from shopstock.models import Shop

from .free_cloth import FreeCloth, free_cloth
from .material_rows import material_row
from .models import CuttingPlan, Job, PlannedBlank, PlannedStrip
from .planning import CannotPlan, MaterialPlan, plan_lay_up, reinforcements_of
from .plans import require_planned_work
from .queries import confirmed_plan, cut_pieces, cut_widths_mm, open_promises, with_lay_up
from .stock_seen import seen


def make_plan(*, job: Job, by: AbstractBaseUser, at: datetime.datetime) -> CuttingPlan:
    """Plan what of the job is not cut yet on what is free now, and put the plan on offer."""
    require_planned_work(job)
    job = with_lay_up(Job.objects.filter(pk=job.pk)).get()
    shop = Shop.current()
    kinds = reinforcements_of([job])
    if not kinds:
        raise CannotPlan("There is nothing to cut yet. Add a part and its plies first.")
    cloth = free_cloth(list(kinds), shop, as_if_given_back=own_promises(job))
    materials = plan_lay_up(job, cloth, shop, done=cut_pieces(job), kept_widths_mm=cut_widths_mm(job))
    materials = [material for material in materials if material.pieces or material.short]
    if not materials:
        raise CannotPlan("Every piece of this job is cut already: there is nothing left to plan.")
    return _save(job, materials, shop, by=by, at=at)


def own_promises(job: Job) -> set[int]:
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
