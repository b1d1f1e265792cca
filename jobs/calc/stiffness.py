"""Plane stress stiffness of one ply: in its own axes, turned to another direction, and the strains that stresses give.

Moduli, stresses and stiffnesses share one unit (N/mm² in this program; any other comes out as it goes in). Angles are
in degrees, counter-clockwise. Stiffness matrices are 3 × 3 for (along, across, shear).
"""

from dataclasses import dataclass

import numpy as np

STEEPEST_DEG = 90


class StiffnessError(ValueError):
    """Moduli, Poisson's ratio or an angle from which no stiffness can be made."""


@dataclass(frozen=True)
class Lamina:
    """Elastic figures of a ply in its own axes: moduli along, across and in shear (one unit), Poisson's ratio."""

    modulus_along: float
    modulus_across: float
    shear_modulus: float
    poisson: float

    def __post_init__(self):
        if min(self.modulus_along, self.modulus_across, self.shear_modulus) <= 0:
            raise StiffnessError("A ply needs moduli above zero along, across and in shear.")
        if not self.poisson**2 < self.modulus_along / self.modulus_across:
            raise StiffnessError(f"No ply can have a Poisson’s ratio of {self.poisson} with these moduli.")

    @property
    def poisson_across(self) -> float:
        return self.poisson * self.modulus_across / self.modulus_along


def reduced_stiffness(lamina: Lamina) -> np.ndarray:
    """Stiffness Q of a ply in its own axes, in the unit of its moduli.

    Source: classical laminate theory, NASA RP-1351. Worked (Kaw 2.6): 181, 10.3, 7.17 GPa, 0.28 → 181.8, 2.897, 10.35,
    7.17 GPa.
    """
    rest = 1 - lamina.poisson * lamina.poisson_across
    q11, q22 = lamina.modulus_along / rest, lamina.modulus_across / rest
    q12 = lamina.poisson * q22
    return np.array([[q11, q12, 0.0], [q12, q22, 0.0], [0.0, 0.0, lamina.shear_modulus]])


def turned_stiffness(stiffness: np.ndarray, angle_deg: float) -> np.ndarray:
    """Stiffness of a ply, in the laminate's axes, when the ply's own axis lies at ``angle_deg`` (degrees) in them.

    Any 3 × 3 plane stress stiffness; same unit out as in. Source: NASA RP-1351. Worked (Kaw 2.7): the ply of
    reduced_stiffness at 60° → 23.65, 32.46, 20.05, 109.4, 54.19, 36.74 GPa.
    """
    return _strain_turn(angle_deg).T @ stiffness @ _strain_turn(angle_deg)


def _strain_turn(angle_deg: float) -> np.ndarray:
    """Engineering strains in the laminate's axes → in axes turned by the angle."""
    angle = np.deg2rad(angle_deg)
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c * c, s * s, c * s], [s * s, c * c, -c * s], [-2 * c * s, 2 * c * s, c * c - s * s]])


def strains(lamina: Lamina, angle_deg: float, stresses: tuple[float, float, float]) -> tuple[float, float, float]:
    """Strains (1, shear as engineering strain) of one ply at an angle (degrees) under stresses (unit of the moduli).

    Source: NASA RP-1351. Worked (Mallick 3.5): 207, 19, 6.4 GPa, 0.21 at 0° under 1, 0.5, 0 GPa → 0.0043237,
    0.025301, 0.
    """
    found = np.linalg.solve(turned_stiffness(reduced_stiffness(lamina), angle_deg), np.array(stresses, dtype=float))
    return tuple(float(strain) for strain in found)


def checked_angle(angle_deg: float) -> float:
    """An angle of a ply in degrees, from −90 to 90; raises StiffnessError."""
    if not -STEEPEST_DEG <= angle_deg <= STEEPEST_DEG:
        raise StiffnessError(f"A ply lies at −90° to 90° from the 0° line, not at {angle_deg}°.")
    return angle_deg
