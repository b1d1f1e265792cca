"""Length of a roll from its weight, from a tape and from the ledger, each with its uncertainty.

Weights are in g, lengths and widths in mm, areal weights in g/m². Every ``u_`` is a standard uncertainty in the unit of
what it belongs to.
"""

from math import hypot, sqrt

from shopstock.calc.roll_mass import RollMassError, net_mass_g
from shopstock.calc.uncertainty import Estimate, from_tolerance

# What estimates of the same roll may share.
LABEL, TUBE, RECEIPT_SCALE, AREAL_WEIGHT, WIDTH = "label", "tube", "weighing at receipt", "areal weight", "width"

LABEL_TOLERANCE_PERCENT = 1.0  # no standard found; a field of the supplier
SCALE_TOLERANCE_G = 50
TUBE_TOLERANCE_G = 100
WIDTH_TOLERANCE_MM = 3  # a maker's data sheet of mat
TAPE_TOLERANCE_MM = 10
TAPE_TOLERANCE_PERCENT = 0.2  # laid out in several lengths of the table, never quite straight
U_CUT_MM = 20  # one cut by hand against what was entered


def from_label(label_length_mm: float, tolerance_percent: float = LABEL_TOLERANCE_PERCENT) -> Estimate:
    """A roll as it came: the length on its label in mm, right to ± ``tolerance_percent``.

    Raises UncertaintyError. Source: tolerance, common practice. Worked: 55 000 mm, 1 % → 55 000 ± 318 mm.
    """
    return Estimate(label_length_mm, 0.0, {LABEL: from_tolerance(label_length_mm * tolerance_percent / 100)})


def from_tape(length_mm: float) -> Estimate:
    """A length in mm laid out and taped: ± 10 mm and ± 0.2 %. Raises nothing.

    Source: common practice. Worked: 20 000 mm → 20 000 ± 24 mm.
    """
    spread = from_tolerance(TAPE_TOLERANCE_MM), from_tolerance(length_mm * TAPE_TOLERANCE_PERCENT / 100)
    return Estimate(length_mm, hypot(*spread))


def after_cuts(
    before: Estimate, taken_mm: float, cuts: int, u_cut_mm: float = U_CUT_MM, over_mm: float = 0, u_over_mm: float = 0
) -> Estimate:
    """The ledger's estimate in mm after ``cuts`` cuts that together were entered as ``taken_mm``.

    u_cut_mm: spread of one cut against what was entered; over_mm: how much more than entered a cut takes on average,
    and u_over_mm how well that is known (all mm). Raises nothing. Source: root sum of squares, JCGM 100:2008, 5.1.
    Worked: 55 000 ± 318 less 19 600 in 8 cuts of ± 20 → 35 400 ± 323 mm.
    """
    return before.less(taken_mm + cuts * over_mm, hypot(sqrt(cuts) * u_cut_mm, cuts * u_over_mm))


def from_weight(
    gross_g: float,
    tube_g: float,
    areal_weight_gsm: float,
    width_mm: float,
    *,
    u_areal_weight_gsm: float,
    u_scale_g: float = from_tolerance(SCALE_TOLERANCE_G),
    u_tube_g: float = from_tolerance(TUBE_TOLERANCE_G),
    u_width_mm: float = from_tolerance(WIDTH_TOLERANCE_MM),
) -> Estimate:
    """Length in mm by areal weight: as good as the areal weight is, which may be 10 % off.

    gross_g, tube_g: the roll and its bare tube, g; areal_weight_gsm in g/m² as sold; width_mm in mm. Raises
    RollMassError. Source: L = (gross − tube)/(w·b), propagated by JCGM 100:2008, 5.1.
    Worked: 21 400 g, tube 1600 g, 450 g/m² ± 10 %, 1250 mm ± 3 → 35 200 ± 2036 mm.
    """
    net_g = _net(gross_g, tube_g)
    g_per_mm = _g_per_mm(areal_weight_gsm, width_mm)
    length_mm = net_g / g_per_mm
    return Estimate(
        length_mm,
        u_scale_g / g_per_mm,
        {
            TUBE: -u_tube_g / g_per_mm,
            AREAL_WEIGHT: -length_mm * u_areal_weight_gsm / areal_weight_gsm,
            WIDTH: -length_mm * u_width_mm / width_mm,
        },
    )


def _g_per_mm(areal_weight_gsm: float, width_mm: float) -> float:
    if areal_weight_gsm <= 0 or width_mm <= 0:
        raise RollMassError("A length from weight needs an areal weight and a width above zero.")
    return areal_weight_gsm * width_mm / 10**6


def _net(gross_g: float, tube_g: float) -> float:
    return float(net_mass_g(gross_g, tube_g))


def from_weight_ratio(
    gross_g: float,
    tube_g: float,
    label_length_mm: float,
    gross_at_receipt_g: float,
    *,
    u_label_mm: float,
    u_scale_g: float = from_tolerance(SCALE_TOLERANCE_G),
    u_tube_g: float = from_tolerance(TUBE_TOLERANCE_G),
) -> Estimate:
    """Length in mm from the roll's weight now over its weight at receipt: areal weight and width cancel.

    gross_g, gross_at_receipt_g, tube_g: weighings and the bare tube, g; label_length_mm: the length when it came, mm.
    Raises RollMassError. Source: L = L₀·(gross − tube)/(gross₀ − tube), propagated by JCGM 100:2008, 5.1.
    Worked: 21 400 g of 32 600 g, tube 1600 g, 55 000 mm ± 318 → 35 129 ± 215 mm.
    """
    net_g, net_at_receipt_g = _net(gross_g, tube_g), _net(gross_at_receipt_g, tube_g)
    if net_at_receipt_g == 0:
        raise RollMassError("The roll weighed as much as its tube when it came: correct one of the two.")
    length_mm = label_length_mm * net_g / net_at_receipt_g
    return Estimate(
        length_mm,
        label_length_mm / net_at_receipt_g * u_scale_g,
        {
            LABEL: length_mm / label_length_mm * u_label_mm,
            RECEIPT_SCALE: -length_mm / net_at_receipt_g * u_scale_g,
            TUBE: (length_mm - label_length_mm) / net_at_receipt_g * u_tube_g,
        },
    )
