"""Length of a roll from its outer diameter, with its uncertainty. All lengths, diameters and thicknesses in mm."""

from math import pi

from shopstock.calc.roll_estimate import LABEL
from shopstock.calc.uncertainty import Estimate, from_tolerance
from shopstock.calc.wound_length import WoundLengthError, share_left, wound_length_mm

CORE, THICKNESS, RECEIPT_DIAMETER = "core", "thickness", "diameter at receipt"

DIAMETER_TOLERANCE_MM = 2
CORE_TOLERANCE_MM = 0.5
THICKNESS_TOLERANCE_PERCENT = 10


def diameter_of(circumference_mm: float) -> float:
    """Mean diameter in mm of a roll from a tape laid round it (mm), which evens out what is not round.

    Raises WoundLengthError. Worked: 823 mm → 262 mm.
    """
    if circumference_mm <= 0:
        raise WoundLengthError("A tape round the roll shows more than nothing: measure again.")
    return circumference_mm / pi


def from_diameter(
    outer_mm: float,
    core_mm: float,
    thickness_mm: float,
    *,
    u_outer_mm: float = from_tolerance(DIAMETER_TOLERANCE_MM),
    u_core_mm: float = from_tolerance(CORE_TOLERANCE_MM),
    thickness_tolerance_percent: float = THICKNESS_TOLERANCE_PERCENT,
) -> Estimate:
    """Length in mm by the thickness of the fabric as it lies wound: easily 15 % off, since tension presses it thinner.

    outer_mm, core_mm: diameters, mm; thickness_mm: of one layer, mm. Raises WoundLengthError.
    Source: L = π(D² − d²)/(4t), mathforum.org/library/drmath/view/67031.html, propagated by JCGM 100:2008, 5.1.
    Worked: 262 ± 2, 89 ± 0.5, 1.18 mm ± 10 % → 40 417 ± 2368 mm.
    """
    length_mm = wound_length_mm(outer_mm, core_mm, thickness_mm)
    return Estimate(
        length_mm,
        pi * outer_mm / (2 * thickness_mm) * u_outer_mm,
        {
            CORE: -pi * core_mm / (2 * thickness_mm) * u_core_mm,
            THICKNESS: -length_mm * from_tolerance(thickness_tolerance_percent / 100),
        },
    )


def from_diameter_ratio(
    outer_mm: float,
    core_mm: float,
    label_length_mm: float,
    outer_at_receipt_mm: float,
    *,
    u_label_mm: float,
    u_outer_mm: float = from_tolerance(DIAMETER_TOLERANCE_MM),
    u_core_mm: float = from_tolerance(CORE_TOLERANCE_MM),
) -> Estimate:
    """Length in mm from the roll's diameters now and when it came: the thickness cancels.

    outer_mm, outer_at_receipt_mm, core_mm: diameters, mm; label_length_mm: the length when it came, mm. Raises
    WoundLengthError. Source: L = L₀·(D² − d²)/(D₀² − d²), propagated by JCGM 100:2008, 5.1.
    Worked: 262 of 320.2 on 89 mm, 55 000 mm ± 318 → 35 301 ± 491 mm.
    """
    share = share_left(outer_mm, outer_at_receipt_mm, core_mm)
    ring_mm2 = outer_at_receipt_mm**2 - core_mm**2
    length_mm = label_length_mm * share
    return Estimate(
        length_mm,
        label_length_mm * 2 * outer_mm / ring_mm2 * u_outer_mm,
        {
            LABEL: share * u_label_mm,
            RECEIPT_DIAMETER: -length_mm * 2 * outer_at_receipt_mm / ring_mm2 * u_outer_mm,
            CORE: (length_mm - label_length_mm) * 2 * core_mm / ring_mm2 * u_core_mm,
        },
    )


def outer_layers_mm(outer_mm: float, layers: int, thickness_mm: float) -> float:
    """Length in mm of the outermost ``layers`` turns of a roll of diameter ``outer_mm``, ``thickness_mm`` a layer (mm).

    Raises WoundLengthError. Source: L = πN(D − Nt), geometry. Worked: 3 layers of 1.18 mm off 262 mm → 2436 mm.
    """
    reached_mm = outer_mm - 2 * layers * thickness_mm
    if layers < 1 or thickness_mm <= 0 or reached_mm < 0:
        raise WoundLengthError(
            f"{layers} layers of {thickness_mm:g} mm do not come off {outer_mm:g} mm: measure again."
        )
    return pi * layers * (outer_mm - layers * thickness_mm)


def wound_thickness_mm(length_mm: float, outer_mm: float, core_mm: float) -> float:
    """Thickness in mm of one layer as it lies on a roll of known length (mm) and diameters (mm).

    Raises WoundLengthError. Worked: 35 301 mm, 262 on 89 mm → 1.351 mm.
    """
    if length_mm <= 0:
        raise WoundLengthError("A thickness needs a length above zero.")
    return wound_length_mm(outer_mm, core_mm, 1.0) / length_mm
