"""The cloth on the racks as a stand-in would find it: hard gates, and a plan of what it would take."""

import datetime
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from jobs.cloth_taken import ClothTaken, as_laid, cloth_taken
from jobs.free_cloth import FreeCloth, has_ended
from jobs.job_cloth import carry_no_load, cloth_for, day_of_cutting
from jobs.laid_plies import resin_kind
from jobs.lay_up_text import LaidFabric
from jobs.models import Job, Ply
from jobs.pieces import LayUp, Piece, cloth_of, laid_ply, lay_up_of, usable_width_mm
from jobs.plan_making import own_promises
from jobs.planning import CannotPlan, MaterialPlan, plan_material, reinforcements_of, widths_to_try
from jobs.queries import confirmed_plan, jobs_of
from jobs.rack_fabrics import candidates, resin_fit, total_mm
from shopstock.models import Reinforcement, Roll, Shop
from shopstock.queries import open_rolls

from .target import Target

SECONDS_A_CHECK = 0.1


@dataclass(frozen=True)
class OnRacks:
    """What the plan of a stack says of the cloth: taken in m², waste in per cent, the oldest lots, offcuts used."""

    fits: bool
    why_not: str = ""
    taken_m2: float = 0.0
    waste_percent: float = 0.0
    lots: tuple[str, ...] = ()
    oldest: str = ""
    offcuts: int = 0


def given_back_by_choosing(job: Job) -> set[int]:
    """Set-asides that a stand-in would free; where other jobs share the plan, none is counted on."""
    plan = confirmed_plan(job)
    alone = plan is not None and list(jobs_of(plan)) == [job]
    return own_promises([job]) if alone else set()


class Racks:
    """The cloth of every candidate fabric as it is free now, for one target."""

    def __init__(self, target: Target, shop: Shop, at: datetime.datetime):
        self.target, self.shop, self.at = target, shop, at
        self.pattern = target.pattern
        self.fabrics = candidates()
        known = {fabric.pk for fabric in self.fabrics} | set(reinforcements_of([target.job]))
        back = given_back_by_choosing(target.job)
        self.cloth = cloth_for([target.job], list(known), shop, at=at, as_if_given_back=back)
        self._plans: dict[tuple, MaterialPlan] = {}

    @cached_property
    def specified_cost(self) -> Decimal | None:
        """Of the blanks of one piece of each replaced ply, as they would be cut."""
        return cost_of([self.taken_by(ply) for ply in self.target.replaced])

    def taken_by(self, ply: Ply) -> ClothTaken:
        return cloth_taken(ply, ply.reinforcement, ply.direction, self.width_mm(ply.reinforcement))

    def free_mm(self, fabric: Reinforcement) -> int:
        return total_mm(self.cloth.get(fabric.pk, ()))

    def width_mm(self, fabric: Reinforcement) -> int:
        cloth = self.cloth.get(fabric.pk, ())
        return widths_to_try(fabric, cloth, self.shop)[0]

    def gate(self, fabric: Reinforcement) -> str:
        """Why a fabric is not offered at all, or nothing."""
        specified = {ply.reinforcement.fibre for ply in self.target.replaced}
        resin = resin_kind(self.target.job)
        if fabric.fibre not in specified:
            return f"{fabric.get_fibre_display()} is another fibre than specified"
        if resin_fit(fabric, resin) == Reinforcement.Fit.NOT:
            return "does not go with the resin of the job"
        least = min(ply.reinforcement.drape_rating for ply in self.target.replaced)
        if self.target.job.process == Job.Process.HAND_COMPLEX and fabric.drape_rating < least:
            return f"drapes {fabric.drape_rating} of 5, the specified fabric {least}"
        if not self.free_mm(fabric):
            held = self.held_back.get(fabric.pk)
            return f"nothing usable is free on the racks: {held}" if held else "nothing usable is free on the racks"
        return ""

    @cached_property
    def held_back(self) -> dict[int, str]:
        """By fabric what lies on the racks and may not go into this job, in words."""
        job = self.target.job
        cut_on, lots_known = day_of_cutting([job], self.at), job.lot_rule != Job.LotRule.ANY
        found: dict[int, Counter] = {}
        for roll in open_rolls().select_related("reinforcement", "parent__parent"):
            why = _why_held(roll, self.at, cut_on, lots_known=lots_known, carries_load=not carry_no_load([job]))
            if why:
                found.setdefault(roll.reinforcement_id, Counter())[why] += 1
        return {
            kind: ", ".join(f"{count} roll{'' if count == 1 else 's'} {why}" for why, count in reasons.items())
            for kind, reasons in found.items()
        }

    def taken(self, fabric: Reinforcement, direction: str) -> ClothTaken:
        """Blanks of one ply, refused where the cloth is too narrow or too little."""
        found = cloth_taken(self.pattern, fabric, direction, self.width_mm(fabric))
        pieces = self.pattern.count * self.target.part.count
        free_mm2 = sum(item.clean_mm * item.usable_width_mm for item in self.cloth.get(fabric.pk, ()))
        if not found.refusal and found.blanks_mm2 * pieces > free_mm2:
            short = f"one ply takes {found.blanks_m2 * pieces:.2f} m², {free_mm2 / 1e6:.2f} m² is free"
            return ClothTaken(fabric, direction, refusal=short)
        return found

    def check(self, plies: Sequence[LaidFabric]) -> OnRacks:
        """Plan the cloth of a stack beside what else the job takes of the same fabrics."""
        fabrics = {ply.fabric.pk: ply.fabric for ply in plies}
        try:
            plans = [self._plan(fabric, plies) for fabric in fabrics.values()]
        except CannotPlan as error:
            return OnRacks(False, str(error))
        for plan in plans:
            if plan.short:
                return OnRacks(False, f"{plan.reinforcement}: {plan.short[0].reason}")
        return _on_racks(plans)

    def _plan(self, fabric: Reinforcement, plies: Sequence[LaidFabric]) -> MaterialPlan:
        directions = tuple(sorted(ply.direction for ply in plies if ply.fabric.pk == fabric.pk))
        key = fabric.pk, directions
        if key not in self._plans:
            width_mm = self.width_mm(fabric)
            pieces = (*self._others(fabric, width_mm), *self._pieces(fabric, directions, width_mm))
            cloth: list[FreeCloth] = self.cloth.get(fabric.pk, [])
            self._plans[key] = plan_material(
                fabric, LayUp(pieces), cloth, self.shop, width_mm=width_mm, seconds=SECONDS_A_CHECK
            )
        return self._plans[key]

    def _others(self, fabric: Reinforcement, width_mm: int) -> list[Piece]:
        kinds = reinforcements_of([self.target.job])
        widths = {pk: max(1, usable_width_mm(kind.width_mm, self.shop)) for pk, kind in kinds.items()}
        lay_up = lay_up_of(self.target.job, widths | ({fabric.pk: width_mm} if fabric.pk in kinds else {}))
        replaced = {ply.pk for ply in self.target.replaced}
        return [piece for piece in lay_up.of(fabric.pk).pieces if piece.ply_id not in replaced]

    def _pieces(self, fabric: Reinforcement, directions: Sequence[str], width_mm: int) -> list[Piece]:
        pieces = []
        for number, direction in enumerate(directions, start=1):
            laid = laid_ply(as_laid(self.pattern, fabric, direction), cloth_of(fabric, width_mm))
            for blank in laid.blanks:
                turns = tuple(turn for turn in blank.turns if turn in fabric.turns) or (0,)
                name = f"stand-in {number}{'' if blank.panels == 1 else f'.{blank.panel}'}"
                count = blank.count * self.target.part.count
                pieces.append(Piece(-number, fabric.pk, name, blank.across_mm, blank.along_mm, count, turns))
        return pieces


def _why_held(roll: Roll, at: datetime.datetime, cut_on: datetime.date, *, lots_known: bool, carries_load: bool) -> str:
    if roll.condition == Roll.Condition.QUARANTINED:
        return "quarantined"
    if carries_load and roll.grade == Roll.Grade.NON_STRUCTURAL:
        return "for non-structural parts only"
    if roll.lying == Roll.Lying.FOLDED and roll.grade == Roll.Grade.STRUCTURAL:
        return "lying folded, undecided"
    if has_ended(roll, at, cut_on):
        return "past its date on the day of cutting"
    return "of no known lot" if lots_known and not roll.lot else ""


def _on_racks(plans: Sequence[MaterialPlan]) -> OnRacks:
    strips = [strip for plan in plans for strip in plan.strips]
    rolls = sorted({strip.cloth.roll for strip in strips}, key=lambda roll: (roll.received_on, roll.pk))
    laid_mm2 = sum(blank.across_mm * blank.along_mm for strip in strips for blank in strip.blanks)
    back_mm2 = sum(width * length for strip in strips for width, length in strip.offcuts)
    cut_mm2 = sum(strip.cut_off_mm2 for strip in strips)
    return OnRacks(
        fits=True,
        taken_m2=cut_mm2 / 1e6,
        waste_percent=100 * (cut_mm2 - laid_mm2 - back_mm2) / cut_mm2 if cut_mm2 else 0.0,
        lots=tuple(dict.fromkeys(f"{roll.lot or 'no lot'} ({roll.code}, {roll.received_on})" for roll in rolls)),
        oldest=str(rolls[0].received_on) if rolls else "",
        offcuts=sum(roll.kind == roll.Kind.OFFCUT for roll in rolls),
    )


def cost_of(cloth: Sequence[ClothTaken]) -> Decimal | None:
    """Money for the blanks of one piece of each ply; None where a price is missing or a ply cannot be cut."""
    if any(one.refusal or one.fabric.price_per_m2 is None for one in cloth):
        return None
    return sum((Decimal(one.blanks_mm2) / 1_000_000 * one.fabric.price_per_m2 for one in cloth), Decimal(0))
