"""A confirmed plan as tickets for the cutting table, one a roll."""

from jobs.models import CuttingPlan, PlannedBlank, Ply
from shopstock.models import Roll, SetAside, Shop
from shopstock.tickets import CutBlank, Ticket, TicketStep

from .cut_list import RollPage, Step, roll_pages
from .plan_page import waiting_in

COUNTS = (CuttingPlan.State.OFFERED, CuttingPlan.State.CONFIRMED)


def tickets_of(plan_number: int) -> list[Ticket] | None:
    plan = CuttingPlan.objects.select_related("job").filter(pk=plan_number, state__in=COUNTS).first()
    if plan is None:
        return None
    pages = roll_pages(plan)
    found = Roll.objects.filter(code__in=[page.code for page in pages]).select_related("place", "reinforcement")
    rolls = {roll.code: roll for roll in found.prefetch_related("reinforcement__layers")}
    found = PlannedBlank.objects.filter(strip__plan=plan).select_related("ply__part")
    plies = {blank.pk: blank.ply for blank in found}
    waiting = tuple(f"Do not cut: {one} waits for the designer (class {one.grade})." for one in waiting_in(plan))
    sense = Shop.current().get_angle_sense_display()
    return [_ticket(plan, page, rolls[page.code], plies, sense, waiting) for page in pages]


def _ticket(
    plan: CuttingPlan, page: RollPage, roll: Roll, plies: dict[int, Ply], sense: str, marks: tuple[str, ...]
) -> Ticket:
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
        steps=tuple(_step(step, plies) for step in page.steps),
        faults=tuple(page.faults),
        has_warp=any(layer.angle_deg is not None for layer in roll.reinforcement.layers.all()),
        angle_sense=sense,
        marks=marks,
    )


def _step(step: Step, plies: dict[int, Ply]) -> TicketStep:
    promise = step.strip.set_aside if step.strip else None
    return TicketStep(
        number=step.strip.number if step.strip else None,
        from_mm=step.from_mm,
        length_mm=step.length_mm,
        why=step.why,
        done=promise is not None and promise.state == SetAside.State.CUT,
        blanks=tuple(_blank(blank, plies[blank.pk]) for blank in step.blanks),
        offcuts=step.offcuts,
        beside=step.beside,
    )


def _blank(blank: PlannedBlank, ply: Ply) -> CutBlank:
    return CutBlank(
        name=blank.name,
        part=ply.part.name,
        ply_number=ply.number,
        along_mm=blank.along_mm,
        across_mm=blank.across_mm,
        from_start_mm=blank.y_mm,
        from_edge_mm=blank.x_mm,
        turned=blank.turned,
        lies_at="" if ply.direction == Ply.Direction.ANY else Ply.Direction(ply.direction).short,
        outline=tuple((along, across) for along, across in blank.outline),
    )
