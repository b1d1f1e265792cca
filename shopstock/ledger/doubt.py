"""How sure the ledger is of a roll's length, kept with every line that changes it."""

from shopstock.calc.roll_estimate import LABEL_TOLERANCE_PERCENT, U_CUT_MM, from_label, from_tape
from shopstock.calc.uncertainty import Estimate
from shopstock.models import Movement, Roll

CUTTING = (Movement.Kind.CUT, Movement.Kind.LOSS)


def doubt_after(roll: Roll, kind: str, delta_mm: int) -> Estimate:
    """What a line of this kind leaves of the certainty of a locked roll, whose length is still the one before it."""
    if kind == Movement.Kind.RECEIPT:
        return from_label(roll.label_length_mm, _label_tolerance_percent(roll))
    if kind == Movement.Kind.OFFCUT:
        return from_tape(delta_mm)
    return roll.estimate.less(-delta_mm, U_CUT_MM if kind in CUTTING else 0.0)


def _label_tolerance_percent(roll: Roll) -> float:
    return float(roll.supplier.length_tolerance_percent) if roll.supplier else LABEL_TOLERANCE_PERCENT


def take_over(roll: Roll, estimate: Estimate) -> None:
    """Keep an estimate's doubt on the roll; its length is the ledger's business. Nothing is saved yet."""
    roll.uncertainty_mm = estimate.uncertainty_mm
    roll.doubt_sources = dict(estimate.shared_mm)
