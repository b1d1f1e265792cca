"""What was read on a roll, and the length that the program makes of it together with the ledger."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import hypot

from django.db.models import QuerySet

from .calc.cut_habit import Drift, Habit, learn_habit
from .calc.forms import form_of
from .calc.fusing import Fused, fuse
from .calc.roll_diameter import from_diameter, from_diameter_ratio
from .calc.roll_estimate import LABEL_TOLERANCE_PERCENT, SCALE_TOLERANCE_G, from_tape, from_weight, from_weight_ratio
from .calc.uncertainty import Estimate, from_tolerance
from .ledger import Measured
from .models import CutHabit, Measurement, Movement, Roll

Method = Measurement.Method


class CannotTell(Exception):
    """No length follows from the readings; `field` is where something is missing or wrong."""

    def __init__(self, field: str, message: str):
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Readings:
    """As read: a taped length, a weight and its tube's, an outside diameter, its tube's and a layer's thickness."""

    tape_mm: int | None = None
    gross_g: int | None = None
    tube_g: int | None = None
    outer_mm: float | None = None
    core_mm: float | None = None
    thickness_mm: float | None = None

    @property
    def is_empty(self) -> bool:
        return self.tape_mm is None and self.gross_g is None and self.outer_mm is None


@dataclass(frozen=True)
class Found:
    """What one method says, on what it rests, and what to beware of."""

    method: str
    estimate: Estimate
    basis: str
    caution: str = ""

    @property
    def name(self) -> str:
        return Method(self.method).label


@dataclass(frozen=True)
class Outcome:
    """Everything the page shows: what each method says, what the ledger says, and what they come to together."""

    readings: Readings
    found: tuple[Found, ...]
    booked: Estimate
    over_mm: float
    fused: Fused | None  # None when a tape decides alone

    @property
    def agree(self) -> bool:
        return self.fused is None or self.fused.agree

    @property
    def taken_over(self) -> Estimate:
        return self.found[0].estimate if self.fused is None else self.fused.estimate

    @property
    def length_mm(self) -> int:
        return max(0, round(self.taken_over.length_mm))

    def measured(self) -> Measured:
        several = len(self.found) > 1 and self.fused is not None
        method = Method.SEVERAL if several else self.found[0].method
        return Measured(method, self._alone(), self.taken_over, self._as_data())

    def _alone(self) -> Estimate:
        """What the readings say without the ledger, from which its drift is told."""
        if self.fused is None or len(self.found) == 1:
            return self.found[0].estimate
        return fuse([found.estimate for found in self.found]).estimate

    def _as_data(self) -> dict:
        by_method = {
            found.method: {
                "length_mm": round(found.estimate.length_mm),
                "uncertainty_mm": round(found.estimate.uncertainty_mm, 1),
                "basis": found.basis,
            }
            for found in self.found
        }
        return by_method | {"read": {name: value for name, value in asdict(self.readings).items() if value is not None}}


def weigh_up(roll: Roll, readings: Readings) -> Outcome:
    """The length of a roll from its readings and the ledger; the roll needs its supplier, parent and reinforcement.

    A tape on the table is taken as it is. Raises CannotTell, RollMassError and WoundLengthError.
    """
    found = list(_by_each_method(roll, readings))
    booked, over_mm = booked_estimate(roll)
    if readings.tape_mm is not None:
        return Outcome(readings, tuple(found), booked, over_mm, None)
    fused = fuse([booked, *(one.estimate for one in found)])
    return Outcome(readings, tuple(found), booked, over_mm, fused)


def _by_each_method(roll: Roll, readings: Readings):
    if readings.tape_mm is not None:
        yield Found(Method.TAPE, from_tape(readings.tape_mm), "laid out and taped")
    if readings.gross_g is not None:
        yield _by_weight(roll, readings)
    if readings.outer_mm is not None:
        yield _by_diameter(roll, readings)


def _by_weight(roll: Roll, readings: Readings) -> Found:
    tube_g = readings.tube_g if readings.tube_g is not None else roll.tube_g
    if tube_g is None:
        raise CannotTell("tube", "The weight of the bare tube is not known. Weigh an empty one of its kind.")
    if roll.gross_g is not None and not was_joined(roll):
        estimate = from_weight_ratio(
            readings.gross_g, tube_g, roll.label_length_mm, roll.gross_g, u_label_mm=_u_label_mm(roll)
        )
        return Found(Method.WEIGHT, estimate, "by its own weight when it came")
    gsm, u_gsm, basis = areal_weight_of(roll)
    figures = {"u_areal_weight_gsm": u_gsm}
    return Found(Method.WEIGHT, from_weight(readings.gross_g, tube_g, gsm, roll.width_mm, **figures), basis)


def areal_weight_of(roll: Roll) -> tuple[float, float, str]:
    """Areal weight (g/m²), its standard uncertainty, and from where: the roll it was cut from, or the data sheet."""
    source = roll.parent
    if source is not None and source.net_g and not was_joined(source):
        gsm = source.net_g * 1e6 / (source.label_length_mm * source.width_mm)
        share = hypot(_u_label_mm(source) / source.label_length_mm, from_tolerance(SCALE_TOLERANCE_G) / source.net_g)
        return gsm, gsm * share, f"by the areal weight of roll {source.code}, {gsm:.0f} g/m²"
    kind = roll.reinforcement
    gsm, percent = float(kind.areal_weight_gsm), float(kind.weight_tolerance_percent)
    percent = percent or float(form_of(kind.form).weight_tolerance_percent)
    return gsm, gsm * from_tolerance(percent / 100), f"by the areal weight, {gsm:g} g/m² ± {percent:g} %"


def _u_label_mm(roll: Roll) -> float:
    percent = float(roll.supplier.length_tolerance_percent) if roll.supplier else LABEL_TOLERANCE_PERCENT
    return from_tolerance(roll.label_length_mm * percent / 100)


def was_joined(roll: Roll) -> bool:
    """Cloth was wound on since it came: what it weighed and measured then says nothing about it now."""
    return roll.movements.filter(kind=Movement.Kind.JOIN, corrected_by__isnull=True).exists()


def _by_diameter(roll: Roll, readings: Readings) -> Found:
    core_mm = readings.core_mm if readings.core_mm is not None else roll.core_mm
    if core_mm is None:
        raise CannotTell("core", "The outside diameter of the tube is not known. Measure it at the end of the roll.")
    if roll.outer_mm is not None and not was_joined(roll):
        estimate = from_diameter_ratio(
            readings.outer_mm, core_mm, roll.label_length_mm, roll.outer_mm, u_label_mm=_u_label_mm(roll)
        )
        return Found(Method.DIAMETER, estimate, "by its own diameter when it came")
    thickness = readings.thickness_mm or roll.reinforcement.wound_thickness_mm
    if thickness is None:
        raise CannotTell(
            "thickness",
            "Without the diameter it had when it came, the thickness of one layer is needed. Measure ten layers "
            "pressed together and divide by ten, or weigh the roll instead.",
        )
    return Found(
        Method.DIAMETER,
        from_diameter(readings.outer_mm, core_mm, float(thickness)),
        f"by the thickness of a layer, {float(thickness):g} mm ± 10 %",
        "Cloth lies tighter or looser on a tube than the thickness says: this can be 15 % off. Weigh it if you can.",
    )


def booked_estimate(roll: Roll) -> tuple[Estimate, float]:
    """The ledger's length with its doubt, and how much of it the shop's habit of cutting over has taken (mm).

    The habit counts only where the owner has switched it on, and only what recounts since then still show.
    """
    over = CutHabit.objects.filter(form=roll.reinforcement.form).first()
    habit = over and learned_habit(roll.reinforcement.form, since=over.at)
    if not habit or not habit.is_known or not roll.cuts_since_measured:
        return roll.estimate, 0.0
    over_mm = roll.cuts_since_measured * habit.over_mm
    return roll.estimate.less(over_mm, roll.cuts_since_measured * habit.u_over_mm), over_mm


def drifts(form: str, *, since=None) -> QuerySet[Measurement]:
    """Recounts from which the habit of cutting a form is learned; a recount taken back teaches nothing."""
    found = Measurement.objects.filter(
        roll__reinforcement__form=form, cuts_before__gt=0, movement__corrected_by__isnull=True
    ).exclude(method=Method.MISSING)
    return found if since is None else found.filter(at__gt=since)


def learned_habit(form: str, *, since=None) -> Habit | None:
    rows = drifts(form, since=since).values_list("drift_mm", "cuts_before", "drift_uncertainty_mm")
    return learn_habit(_as_drifts(rows))


def _as_drifts(rows: Sequence[tuple]) -> list[Drift]:
    return [Drift(*row) for row in rows]


def last_tools(roll: Roll) -> dict[str, float]:
    """Tube weight, core and layer thickness as last read on this roll, so that nobody measures them twice."""
    known = {"tube_g": roll.tube_g, "core_mm": roll.core_mm}
    for measurement in reversed(list(roll.measurements.all()[:10])):
        read = measurement.readings.get("read", {})
        known |= {name: read[name] for name in ("tube_g", "core_mm", "thickness_mm") if name in read}
    return {name: value for name, value in known.items() if value is not None}
