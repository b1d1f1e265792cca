"""A confirmed plan as tickets for the cutting table, one a roll."""

from jobs.models import CuttingPlan, PlannedBlank
from shopstock.models import Roll, SetAside
from shopstock.tickets import CutBlank, Ticket, TicketStep

from .cut_list import RollPage, Step, roll_pages

COUNTS = (CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED)


def tickets_of(plan_number: int) -> list[Ticket] | None:
    plan = CuttingPlan.objects.select_related("job").filter(pk=plan_number, state__in=COUNTS).first()
    if plan is None:
        return None
    pages = roll_pages(plan)
    found = Roll.objects.filter(code__in=[page.code for page in pages]).select_related("place", "reinforcement")
    rolls = {roll.code: roll for roll in found.prefetch_related("reinforcement__layers")}
    plies = PlannedBlank.objects.filter(strip__plan=plan).select_related("ply__part")
    numbers = {blank.pk: (blank.ply.part.name, blank.ply.number) for blank in plies}
    return [_ticket(plan, page, rolls[page.code], numbers) for page in pages]


def _ticket(plan: CuttingPlan, page: RollPage, roll: Roll, numbers: dict[int, tuple[str, int]]) -> Ticket:
    return Ticket(
        code=page.code,
        kind=roll.kind,
        reinforcement=page.reinforcement,
        lot=roll.lot,
        place=roll.place.name if roll.place else "",
        job=plan.job.name,
        cut_on=plan.job.cut_on,
        length_mm=page.seen["length_mm"],
        width_mm=page.seen["width_mm"],
        steps=tuple(_step(step, numbers) for step in page.steps),
        faults=tuple(page.faults),
        has_warp=any(layer.angle_deg is not None for layer in roll.reinforcement.layers.all()),
    )


def _step(step: Step, numbers: dict[int, tuple[str, int]]) -> TicketStep:
    promise = step.strip.set_aside if step.strip else None
    return TicketStep(
        number=step.strip.number if step.strip else None,
        from_mm=step.from_mm,
        length_mm=step.length_mm,
        why=step.why,
        done=promise is not None and promise.state == SetAside.State.CUT,
        blanks=tuple(_blank(blank, numbers) for blank in step.blanks),
        offcuts=step.offcuts,
    )


def _blank(blank: PlannedBlank, numbers: dict[int, tuple[str, int]]) -> CutBlank:
    part, number = numbers[blank.pk]
    return CutBlank(
        name=blank.name,
        part=part,
        ply_number=number,
        along_mm=blank.along_mm,
        across_mm=blank.across_mm,
        from_start_mm=blank.y_mm,
        from_edge_mm=blank.x_mm,
        turned=blank.turned,
    )
