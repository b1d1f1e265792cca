"""An own look at a saved plan: reads the rows and the rolls, shares no code with the planner."""

from itertools import combinations

from jobs.models import CuttingPlan
from shopstock.models import Shop


def wrongs(plan: CuttingPlan) -> list[str]:
    """Everything a cutter could not or must not follow."""
    trim_mm, found = Shop.current().edge_trim_mm, []
    for strip in plan.strips.all():
        roll, trim = strip.roll, trim_mm if strip.roll.kind == "roll" else 0
        end_mm = strip.from_mm + strip.length_mm
        if end_mm > roll.length_mm:
            found.append(f"{strip} runs off the roll")
        for fault in roll.faults.filter(cleared_at=None):
            start, stop = roll.length_mm - fault.to_mm, roll.length_mm - fault.from_mm
            if strip.from_mm < stop and start < end_mm and fault.across_from_mm is None:
                found.append(f"{strip} lies over a fault")
            elif fault.across_from_mm is not None:
                blanks = strip.blanks.all()
                found += [f"{b} lies over a streak" for b in blanks if _on_streak(b, strip, fault, start, stop)]
        blanks = list(strip.blanks.select_related("ply__reinforcement"))
        found += [f"{blank} leaves the strip" for blank in blanks if _outside(blank, strip, roll, trim)]
        found += [f"{one} over {other}" for one, other in combinations(blanks, 2) if _over(one, other)]
        found += [f"{b} is turned" for b in blanks if b.turned and b.ply.reinforcement.turning == "never"]
    for one, other in combinations(plan.strips.all(), 2):
        apart = one.from_mm + one.length_mm <= other.from_mm or other.from_mm + other.length_mm <= one.from_mm
        if one.roll_id == other.roll_id and not apart:
            found.append(f"{one} over {other}")
    return found


def _on_streak(blank, strip, fault, start: int, stop: int) -> bool:
    low = strip.from_mm + blank.y_mm
    along = low < stop and start < low + blank.along_mm
    return along and blank.x_mm < fault.across_to_mm and fault.across_from_mm < blank.x_mm + blank.across_mm


def _outside(blank, strip, roll, trim: int) -> bool:
    return (
        blank.x_mm < trim
        or blank.x_mm + blank.across_mm > roll.width_mm - trim
        or blank.y_mm + blank.along_mm > strip.length_mm
    )


def _over(one, other) -> bool:
    return (
        one.x_mm < other.x_mm + other.across_mm
        and other.x_mm < one.x_mm + one.across_mm
        and one.y_mm < other.y_mm + other.along_mm
        and other.y_mm < one.y_mm + one.along_mm
    )
