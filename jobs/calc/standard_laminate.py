"""Stiffness and strength of a stack by the standard's default lines alone, as a check by hand would sum them.

The standard gives a ply's modulus along its own fibres and nothing across or between, so only 0° and 90° are summed, no
plot by direction is possible, and Poisson's ratio is left out. E-glass only. Never compare with micromechanics.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.calc.laid_ply import MAT, PAIR, LaidPly
from jobs.calc.laminate import thickness_mm
from jobs.calc.laminate_properties import METHOD, Properties, PropertiesError, mat_and_woven, unidirectional
from shopstock.calc.forms import E_GLASS


@dataclass(frozen=True)
class StandardFigures:
    """Along one direction, per width: E·t (N/mm), modulus (N/mm²), E·I (N·mm), tensile strength (N/mm)."""

    stretching: float
    modulus: float
    bending: float
    strength: float


def standard_figures(plies: Sequence[LaidPly], direction_deg: float) -> StandardFigures:
    """Sums over plies along 0° or 90° (degrees), first ply at the mould; plies across count nothing.

    Bending is taken about the stiffness centre. Raises PropertiesError for other fibres, other directions, or a fibre
    fraction for which the standard draws no line. Source: ISO 12215-5:2008 annex C, as restated in public code. Worked:
    mat 450 at 0.30 → 6725 N/mm, 89.3 N/mm.
    """
    if direction_deg not in (0, 90) or not plies:
        raise PropertiesError(f"{METHOD} are summed along 0° and 90° only, for at least one ply.")
    parts, low = [], 0.0
    for ply in plies:
        height = thickness_mm(ply.fabric.areal_weight_gsm, ply.fraction)
        modulus, strength = _along(ply, direction_deg)
        parts.append((modulus, strength, low, height))
        low += height
    stretching = sum(modulus * height for modulus, _, _, height in parts)
    centre = sum(e * t * (z + t / 2) for e, _, z, t in parts) / stretching if stretching else low / 2
    bending = sum(e * ((z + t - centre) ** 3 - (z - centre) ** 3) / 3 for e, _, z, t in parts)
    return StandardFigures(stretching, stretching / low, bending, sum(s * t for _, s, _, t in parts))


def _along(ply: LaidPly, direction_deg: float) -> tuple[float, float]:
    """Modulus and tensile strength (N/mm²) of a ply along a direction, its strands in other directions left out."""
    if ply.fabric.fibre != E_GLASS:
        raise PropertiesError(f"{METHOD} are for E-glass in polyester, not for {ply.fabric.name}.")
    modulus = strength = 0.0
    for family in ply.families:
        if family.lies_in(direction_deg):
            share = family.areal_weight_gsm / ply.fabric.areal_weight_gsm
            line = _line(family.kind, ply.fraction)
            modulus += share * line.modulus
            strength += share * line.tensile_strength
    return modulus, strength


def _line(kind: str, fraction: float) -> Properties:
    return mat_and_woven(fraction) if kind in (MAT, PAIR) else unidirectional(fraction)
