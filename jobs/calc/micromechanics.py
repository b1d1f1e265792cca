"""From fibre and resin to the stiffness of a ply: the simple rules of mixtures, Halpin–Tsai, and those of a class rule.

The methods do not agree with one another: never compare a figure of one with a figure of another. Moduli in N/mm² (any
one unit does), fractions 0 to 1, angles in degrees.
"""

from dataclasses import dataclass
from math import cos, radians, sin

from jobs.calc.stiffness import Lamina, StiffnessError

NR546 = "BV NR546 (2022) micromechanics"
ROUND_FIBRE_ACROSS, SHEAR = 2.0, 1.0
MAT_ALONG, MAT_ACROSS = 3 / 8, 5 / 8
MAT_POISSON = 0.3


@dataclass(frozen=True)
class FibreStiffness:
    """A fibre: moduli along, across, in shear (N/mm²), Poisson's ratio, density (g/cm³), and the class rule's factors.

    ``factors`` multiply the modulus along, across, in shear and Poisson's ratio of a unidirectional ply.
    """

    along: float
    across: float
    shear: float
    poisson: float
    density: float
    factors: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)


@dataclass(frozen=True)
class ResinStiffness:
    """A cured resin: modulus, shear modulus (N/mm²), Poisson's ratio, density (g/cm³)."""

    modulus: float
    shear: float
    poisson: float
    density: float


def _check(fraction: float) -> None:
    if not 0 < fraction < 1:
        raise StiffnessError(f"A fibre volume fraction lies between 0 and 1, not at {fraction}.")


def rule_of_mixtures(fraction: float, fibre: float, resin: float) -> float:
    """Property along the fibres from the fibre volume fraction (0–1) and those of fibre and resin, in their unit.

    Raises StiffnessError. Source: rule of mixtures. Worked (Kaw 3.3): 0.7, 85, 3.4 GPa → 60.52 GPa.
    """
    _check(fraction)
    return fraction * fibre + (1 - fraction) * resin


def inverse_rule(fraction: float, fibre: float, resin: float) -> float:
    """Modulus across the fibres by the inverse rule: fibre volume fraction (0–1), moduli in one unit.

    Raises StiffnessError. Source: inverse rule of mixtures. Worked (Kaw 3.4): 0.7, 85, 3.4 GPa → 10.37 GPa.
    """
    _check(fraction)
    return 1 / (fraction / fibre + (1 - fraction) / resin)


def halpin_tsai(fraction: float, fibre: float, resin: float, shape: float = ROUND_FIBRE_ACROSS) -> float:
    """Modulus across (shape 2) or in shear (shape 1) by Halpin–Tsai: fibre volume fraction (0–1), moduli in one unit.

    Raises StiffnessError. Source: Halpin–Tsai, from memory, confirmed by calculation. Worked (Kaw 3.7): 0.7, 85,
    3.4 GPa, shape 2 → 20.20 GPa.
    """
    _check(fraction)
    eta = (fibre / resin - 1) / (fibre / resin + shape)
    return resin * (1 + shape * eta * fraction) / (1 - eta * fraction)


def class_rule_lamina(fraction: float, fibre: FibreStiffness, resin: ResinStiffness) -> Lamina:
    """A unidirectional ply (N/mm²) from the fibre volume fraction (0–1), by the rule note's formulas and factors.

    Raises StiffnessError. Source: BV NR546 (2022) section 5, as restated in public code. Worked: E-glass in polyester
    at 0.1667 → 15 147, 4218, 1652 N/mm², 0.3207.
    """
    along, across, shear, poisson = fibre.factors
    resin_plane = resin.modulus / (1 - resin.poisson**2)
    _check(fraction)
    return Lamina(
        modulus_along=along * rule_of_mixtures(fraction, fibre.along, resin.modulus),
        modulus_across=across
        * resin_plane
        * (1 + 0.85 * fraction**2)
        / ((1 - fraction) ** 1.25 + fraction * resin_plane / fibre.across),
        shear_modulus=shear * halpin_tsai(fraction, fibre.shear, resin.shear, SHEAR),
        poisson=poisson * rule_of_mixtures(fraction, fibre.poisson, resin.poisson),
    )


def class_rule_mat(strand: Lamina) -> Lamina:
    """Random mat (N/mm²) from a unidirectional ply of the same fibre fraction: 3/8 along + 5/8 across, ratio 0.3.

    Source: BV NR546 (2022) section 5, as restated in public code. Worked: 450 g/m² at 0.30 in polyester → 8316.
    """
    modulus = MAT_ALONG * strand.modulus_along + MAT_ACROSS * strand.modulus_across
    return Lamina(modulus, modulus, modulus / (2 * (1 + MAT_POISSON)), MAT_POISSON)


def tsai_pagano_mat(strand: Lamina) -> Lamina:
    """Random mat (N/mm²) by Tsai and Pagano: modulus as class_rule_mat, shear modulus E1/8 + E2/4.

    Source: Tsai–Pagano, from memory. Worked: the ply of class_rule_lamina → 8316, shear 2948 N/mm², ratio 0.411.
    """
    modulus = MAT_ALONG * strand.modulus_along + MAT_ACROSS * strand.modulus_across
    shear = strand.modulus_along / 8 + strand.modulus_across / 4
    return Lamina(modulus, modulus, shear, modulus / (2 * shear) - 1)


def averaged_mat(strand: Lamina) -> Lamina:
    """Random mat (N/mm²) as the exact average of a unidirectional ply over all directions.

    Source: invariants of classical laminate theory. Worked: the ply of class_rule_lamina → 7801, 2970 N/mm², 0.313:
    6.6 % below the 3/8–5/8 rule.
    """
    rest = 1 - strand.poisson * strand.poisson_across
    q11, q22 = strand.modulus_along / rest, strand.modulus_across / rest
    q12, q66 = strand.poisson * q22, strand.shear_modulus
    u1 = (3 * q11 + 3 * q22 + 2 * q12 + 4 * q66) / 8
    u4 = (q11 + q22 + 6 * q12 - 4 * q66) / 8
    return Lamina((u1**2 - u4**2) / u1, (u1**2 - u4**2) / u1, (u1 - u4) / 2, u4 / u1)


def woven_lamina(strand: Lamina, warp_share: float = 0.5) -> Lamina:
    """Woven cloth (N/mm²) as a cross-ply of two unidirectional plies; ``warp_share`` is the warp's share (0–1).

    No crimp is taken off: the rule note puts that loss into breaking strains. Raises StiffnessError. Source: BV NR546
    (2022) section 5, as restated in public code. Worked: 600 g/m² at 0.48 in polyester → 15 101, shear 2138, 0.1105.
    """
    if not 0 <= warp_share <= 1:
        raise StiffnessError(f"The warp's share of a cloth lies from 0 to 1, not at {warp_share}.")
    rest = 1 - strand.poisson * strand.poisson_across
    q11, q22 = strand.modulus_along / rest, strand.modulus_across / rest
    q12 = strand.poisson * q22
    a11, a22 = warp_share * q11 + (1 - warp_share) * q22, warp_share * q22 + (1 - warp_share) * q11
    return Lamina(a11 - q12**2 / a22, a22 - q12**2 / a11, strand.shear_modulus, q12 / a22)


def modulus_at(strand: Lamina, angle_deg: float) -> float:
    """Modulus (N/mm²) of a unidirectional ply pulled at an angle (degrees) to its fibres.

    Source: exact off-axis modulus. Worked: at 0° the modulus along, at 90° that across.
    """
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    mixed = 1 / strand.shear_modulus - 2 * strand.poisson / strand.modulus_along
    return 1 / (c**4 / strand.modulus_along + mixed * (s * c) ** 2 + s**4 / strand.modulus_across)


def crimped_modulus(strand: Lamina, crimped_share: float, angle_deg: float) -> float:
    """Modulus (N/mm²) along a yarn of which a share (0–1) runs at a mean angle (degrees) out of the plane.

    Raises StiffnessError. Source: series model, from memory; the off-axis modulus in it is exact. Worked: the ply of
    fraction 0.50 by mass in polyester, half at 8° → 0.921 of the straight yarn's modulus.
    """
    if not 0 <= crimped_share <= 1:
        raise StiffnessError(f"The crimped share of a yarn lies from 0 to 1, not at {crimped_share}.")
    return 1 / ((1 - crimped_share) / strand.modulus_along + crimped_share / modulus_at(strand, angle_deg))
