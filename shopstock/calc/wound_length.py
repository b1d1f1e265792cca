"""Length of fabric wound on a tube, from diameters. A small slip in thickness makes a big one in length, so prefer the
ratio to the roll's own diameter at receipt.
"""

from math import pi

BOTH_READINGS_MM = 4  # each of the two diameters is read to ± 2 mm


class WoundLengthError(ValueError):
    """Diameters or a thickness that no wound roll has."""


def wound_length_mm(outer_mm: float, core_mm: float, thickness_mm: float) -> float:
    """Length in mm of fabric ``thickness_mm`` thick wound from ``core_mm`` to ``outer_mm`` diameter (all mm).

    Raises WoundLengthError. Source: geometry, area of the ring over the thickness. Worked: 300, 76, 0.30 mm →
    220 504 mm.
    """
    _check(outer_mm, core_mm)
    if thickness_mm <= 0:
        raise WoundLengthError(f"A fabric is thicker than {thickness_mm} mm: measure the thickness.")
    return pi * (outer_mm**2 - core_mm**2) / (4 * thickness_mm)


def share_left(outer_now_mm: float, outer_at_receipt_mm: float, core_mm: float) -> float:
    """Share of a roll left, from its outer diameters now and at receipt and its core's, all in mm.

    From 0 to 1, and a little above where an uncut roll reads thicker than before. Raises WoundLengthError.
    Worked: 200 of 300 mm on a 76 mm core → 0.4063.
    """
    _check(outer_now_mm, core_mm)
    _check(outer_at_receipt_mm, core_mm)
    if outer_at_receipt_mm == core_mm:
        raise WoundLengthError("The roll was as thick as its tube when it came: correct one of the two.")
    if outer_now_mm > outer_at_receipt_mm + BOTH_READINGS_MM:
        raise WoundLengthError(
            f"{outer_now_mm:.0f} mm across is thicker than the {outer_at_receipt_mm:.0f} mm it had when it came. "
            "Measure again: a tape round it shows about three times as much as one straight across."
        )
    return (outer_now_mm**2 - core_mm**2) / (outer_at_receipt_mm**2 - core_mm**2)


def _check(outer_mm: float, core_mm: float) -> None:
    if core_mm <= 0 or outer_mm < core_mm:
        raise WoundLengthError(f"{outer_mm:g} mm outside on a core of {core_mm:g} mm cannot be: measure again.")
