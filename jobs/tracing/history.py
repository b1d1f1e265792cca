"""From a part back to all that went into it: cloth by roll and lot, pots by container and batch, people, the air."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F, Q

from jobs.models import Part, PlannedBlank
from shopstock.models import ClimateReading, ContainerMovement, Movement

NEAR = datetime.timedelta(hours=6)  # a reading older or younger says little about the air at a cut


@dataclass(frozen=True)
class CutForPart:
    line: Movement
    pieces: tuple[str, ...]
    climate: ClimateReading | None

    @property
    def taken_mm(self) -> int:
        return -self.line.delta_mm


@dataclass(frozen=True)
class PartHistory:
    part: Part
    cuts: Sequence[CutForPart]
    draws: Sequence[ContainerMovement]
    to_cut: int

    @property
    def lots(self) -> list[str]:
        return sorted({cut.line.roll.lot for cut in self.cuts if cut.line.roll.lot})


def history_of(part: Part) -> PartHistory:
    """Cuts that stand, of confirmed plans; resin by the pots mixed for its plies, or drawn in the job's name."""
    blanks = PlannedBlank.objects.filter(ply__part=part, strip__set_aside__isnull=False).select_related("strip")
    pieces: dict[int, list[str]] = {}
    for blank in blanks:
        pieces.setdefault(blank.strip.set_aside_id, []).append(blank.name)
    lines = (
        Movement.objects.filter(set_aside__in=pieces, kind=Movement.Kind.CUT, corrected_by=None)
        .select_related("roll__reinforcement", "roll__supplier", "roll__parent", "by")
        .order_by("happened_at", "pk")
    )
    cuts = [CutForPart(line, tuple(pieces[line.set_aside_id]), _climate(line)) for line in lines]
    waiting = len(set(pieces) - {cut.line.set_aside_id for cut in cuts})
    return PartHistory(part, cuts, _draws(part), waiting)


def _climate(line: Movement) -> ClimateReading | None:
    """The reading nearest in time to the cut, if there is one that is near."""
    around = ClimateReading.objects.filter(at__range=(line.happened_at - NEAR, line.happened_at + NEAR))
    readings = around.select_related("place").order_by("at")
    return min(readings, key=lambda reading: abs(reading.at - line.happened_at), default=None)


def _draws(part: Part) -> list[ContainerMovement]:
    """What went into pots for its plies, and draws outside any pot that were made in the job's name."""
    of_pots = Q(mix_draw__mix__plies__ply__part=part)
    by_name = Q(mix_draw=None, kind=ContainerMovement.Kind.DRAW, reason__icontains=part.job.name)
    wanted = ContainerMovement.objects.filter(of_pots | by_name).values("pk")
    drawn = ContainerMovement.objects.filter(pk__in=wanted)
    drawn = drawn.select_related("container__chemical", "by", "mix_draw__mix").annotate(drawn_g=-F("delta_g"))
    return list(drawn.order_by("happened_at", "pk"))
