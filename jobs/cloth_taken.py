"""How much of a fabric the blanks of a ply take: straight from one whose fibres lie right, or cut on the bias."""

import datetime
from dataclasses import dataclass

from jobs.calc.blanks import BlankError
from shopstock.models import Reinforcement, Shop

from .job_cloth import cloth_for
from .models import Ply
from .pieces import cloth_of, laid_ply, usable_width_mm
from .rack_fabrics import candidates, is_bias_cut, natural_direction, total_mm

SLANTED = (Ply.Direction.BIAS, Ply.Direction.PLUS, Ply.Direction.MINUS)


@dataclass(frozen=True)
class ClothTaken:
    """Blanks of one piece of a ply from a fabric: their area and the ply's, in mm²; or why there are none."""

    fabric: Reinforcement
    direction: str
    blanks_mm2: int = 0
    ply_mm2: int = 0
    refusal: str = ""
    free_mm: int = 0

    @property
    def is_bias_cut(self) -> bool:
        return is_bias_cut(self.fabric, self.direction)

    @property
    def used_share(self) -> float:
        return self.ply_mm2 / self.blanks_mm2

    @property
    def blanks_m2(self) -> float:
        return self.blanks_mm2 / 1e6


def as_laid(ply: Ply, fabric: Reinforcement, direction: str) -> Ply:
    """The same ply of another fabric, not saved."""
    return Ply(
        part=ply.part,
        number=ply.number,
        reinforcement=fabric,
        length_mm=ply.length_mm,
        width_mm=ply.width_mm,
        count=ply.count,
        direction=direction,
        may_turn=ply.may_turn,
        may_seam=ply.may_seam,
        overlap_mm=ply.overlap_mm,
    )


def cloth_taken(ply: Ply, fabric: Reinforcement, direction: str, width_mm: int, free_mm: int = 0) -> ClothTaken:
    """`width_mm` usable across the roll."""
    try:
        laid = laid_ply(as_laid(ply, fabric, direction), cloth_of(fabric, width_mm))
    except BlankError as error:
        return ClothTaken(fabric, direction, refusal=str(error), free_mm=free_mm)
    area = sum(blank.across_mm * blank.along_mm for blank in laid.blanks) // ply.count
    return ClothTaken(fabric, direction, area, ply.length_mm * ply.width_mm, free_mm=free_mm)


def bias_choices(ply: Ply, shop: Shop, at: datetime.datetime) -> list[ClothTaken]:
    """For a slanted ply: fabrics of the same fibre, those whose own fibres lie at ±45 first, then the least cloth.

    Free is what may go into its job.
    """
    if ply.direction not in SLANTED:
        return []
    alike = [fabric for fabric in candidates() if _could_be(fabric, ply)]
    cloth = cloth_for([ply.part.job], [fabric.pk for fabric in alike], shop, at=at)
    found = [
        cloth_taken(
            ply,
            fabric,
            ply.direction,
            max(1, usable_width_mm(fabric.width_mm, shop)),
            total_mm(cloth[fabric.pk]),
        )
        for fabric in alike
    ]
    return sorted(found, key=lambda taken: (bool(taken.refusal), taken.is_bias_cut, taken.blanks_mm2))


def _could_be(fabric: Reinforcement, ply: Ply) -> bool:
    """Two-way fabric of the same fibre; mat has no direction and strands one way give no ±45."""
    two_ways = natural_direction(fabric) != Ply.Direction.ANY and fabric.turning != Reinforcement.Turning.NEVER
    return two_ways and fabric.fibre == ply.reinforcement.fibre
