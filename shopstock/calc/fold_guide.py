"""What a fold does to each fibre and form, in a few words. Trade practice; the maker's data sheet overrides it."""

from dataclasses import dataclass

from shopstock.calc.forms import ARAMID, CARBON, CHOPPED_STRAND_MAT, E_GLASS, S_GLASS

GLASS = (E_GLASS, S_GLASS)


@dataclass(frozen=True)
class FoldGuide:
    does: str
    advice: str


def fold_guide(fibre: str, form: str) -> FoldGuide:
    """What folding does to a reinforcement, and what to do about it; keys as in forms.py. Raises nothing.

    Source: carbon, rolled because a fold crushes and twists tows, a composites maker's guide; glass and mat, boat
    builders' briefs; aramid, common practice. Worked: carbon cloth is "a weak line even when it looks sound".
    """
    if form == CHOPPED_STRAND_MAT:
        return FoldGuide(
            "Mat bears a soft fold for a short time; a hard fold cracks its binder and leaves a thin line.",
            "Unroll it flat. Where the line does not go, mark it as a fault.",
        )
    if fibre == CARBON:
        return FoldGuide(
            "A fold crushes and twists the tows: a weak line even when it looks sound.",
            "Mark every crease as a fault. Do not use cloth across one in anything that carries load.",
        )
    if fibre == ARAMID:
        return FoldGuide(
            "Aramid kinks where it is folded and keeps the kink; the fibre is weaker there in compression.",
            "Mark the creases as faults. Keep it rolled and out of the light.",
        )
    if fibre in GLASS:
        return FoldGuide(
            "A set crease breaks glass strands and shows through the finished face.",
            "Mark the creases as faults. Between them the cloth is good.",
        )
    return FoldGuide("A fold bends strands sharply and may break them.", "Mark the creases as faults.")
