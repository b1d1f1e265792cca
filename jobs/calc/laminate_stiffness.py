"""Classical laminate theory: stiffness of a stack of plies in its plane and in bending, by direction.

Lengths in mm and stiffnesses in N/mm² give A in N/mm, B in N and D in N·mm, per width. The stack is counted from one
face; z runs from −h/2.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from jobs.calc.stiffness import StiffnessError, turned_stiffness

METHOD = "classical laminate theory"
# Shares of the largest entry below which a term counts as nothing.
NOTHING = 1e-9


@dataclass(frozen=True)
class StiffPly:
    """One ply as laid: its stiffness in the laminate's axes (3 × 3, N/mm²) and its thickness (mm)."""

    stiffness: np.ndarray
    thickness_mm: float


@dataclass(frozen=True)
class Moduli:
    """Effective engineering figures: along 0°, along 90°, in shear (N/mm²) and Poisson's ratio 0 to 90."""

    along: float
    across: float
    shear: float
    poisson: float


@dataclass(frozen=True)
class LaminateStiffness:
    """A (N/mm), B (N) and D (N·mm) per width of a stack ``thickness_mm`` thick."""

    a: np.ndarray
    b: np.ndarray
    d: np.ndarray
    thickness_mm: float

    @cached_property
    def compliance(self) -> np.ndarray:
        """Inverse of the whole 6 × 6 stiffness."""
        return np.linalg.inv(np.block([[self.a, self.b], [self.b, self.d]]))

    @property
    def couples_stretch_and_bending(self) -> bool:
        """B is not nothing: pulled flat, the laminate bends or twists."""
        scale = np.abs(self.a).max() * self.thickness_mm
        return bool(np.abs(self.b).max() > NOTHING * scale)

    @property
    def couples_stretch_and_shear(self) -> bool:
        """A16 or A26 is not nothing: pulled along 0° or 90°, the laminate shears. A balanced lay-up has none."""
        return bool(np.abs(self.a[:2, 2]).max() > NOTHING * np.abs(self.a).max())

    @property
    def couples_bending_and_twist(self) -> bool:
        return bool(np.abs(self.d[:2, 2]).max() > NOTHING * np.abs(self.d).max())

    def stretching_along(self, angle_deg: float) -> float:
        """A11 (N/mm) in axes at an angle (degrees)."""
        return _along(self.a, angle_deg)

    def bending_along(self, angle_deg: float) -> float:
        """D11 (N·mm) in axes at an angle (degrees)."""
        return _along(self.d, angle_deg)

    def turned(self, angle_deg: float) -> "LaminateStiffness":
        """The same laminate seen in axes that lie at ``angle_deg`` (degrees) in it."""
        return LaminateStiffness(
            *(turned_stiffness(matrix, -angle_deg) for matrix in (self.a, self.b, self.d)), self.thickness_mm
        )


def _along(matrix: np.ndarray, angle_deg: float) -> float:
    angle = np.deg2rad(angle_deg)
    c, s = np.cos(angle), np.sin(angle)
    pull = np.array([c * c, s * s, 2 * c * s])
    return float(pull @ matrix @ pull)


def laminate_stiffness(plies: Sequence[StiffPly]) -> LaminateStiffness:
    """A, B and D of a stack of plies, first ply at one face.

    Raises StiffnessError for an empty stack or a ply without thickness. Source: NASA RP-1351. Worked (Kaw 4.2): three
    5 mm plies at 0, 30, −45° → A11 1.739e9 Pa·m, B11 −3.129e6 Pa·m², D11 3.343e4 Pa·m³.
    """
    if not plies or any(ply.thickness_mm <= 0 for ply in plies):
        raise StiffnessError("A laminate needs at least one ply, each with a thickness above zero.")
    height = sum(ply.thickness_mm for ply in plies)
    a, b, d = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    low = -height / 2
    for ply in plies:
        high = low + ply.thickness_mm
        a += ply.stiffness * (high - low)
        b += ply.stiffness * (high**2 - low**2) / 2
        d += ply.stiffness * (high**3 - low**3) / 3
        low = high
    return LaminateStiffness(a, b, d, height)


def in_plane_moduli(laminate: LaminateStiffness) -> Moduli:
    """Effective moduli (N/mm²) for stretching, from the upper left of the whole inverse, so that coupling counts.

    Source: NASA RP-1351. Worked (Kaw 4.4): [0/90/0] → 124.5, 67.43, 7.17 GPa, 0.0429.
    """
    return _moduli(laminate.compliance[:3, :3] * laminate.thickness_mm)


def bending_moduli(laminate: LaminateStiffness) -> Moduli:
    """Effective moduli (N/mm²) for bending, from the lower right of the whole inverse.

    Source: NASA RP-1351. Worked (Kaw 4.4): [0/90/0] → 175.0, 16.65 GPa along and across, 0.1735.
    """
    return _moduli(laminate.compliance[3:, 3:] * laminate.thickness_mm**3 / 12)


def _moduli(compliance: np.ndarray) -> Moduli:
    return Moduli(
        along=float(1 / compliance[0, 0]),
        across=float(1 / compliance[1, 1]),
        shear=float(1 / compliance[2, 2]),
        poisson=float(-compliance[0, 1] / compliance[0, 0]),
    )


def moduli_by_direction(laminate: LaminateStiffness, angles_deg: Sequence[float]) -> list[tuple[float, float]]:
    """(stretching, bending) modulus in N/mm² along each direction (degrees). Worked: at 0° that of in_plane_moduli."""
    turned = [laminate.turned(angle) for angle in angles_deg]
    return [(in_plane_moduli(one).along, bending_moduli(one).along) for one in turned]


def mid_plane_strains(laminate: LaminateStiffness, forces: Sequence[float], moments: Sequence[float]) -> list[float]:
    """Three mid-plane strains (1) and three curvatures (1/mm) under forces (N/mm) and moments (N) per width.

    Source: NASA RP-1351. Worked (Kaw 4.3): the laminate of Kaw 4.2 under 1000 N/m both ways → 3.123e-7, 3.492e-6,
    −7.598e-7 and 2.971e-5, −3.285e-4, 4.101e-4 per m.
    """
    return [float(x) for x in laminate.compliance @ np.array([*forces, *moments], dtype=float)]


def is_symmetric(plies: Sequence[StiffPly]) -> bool:
    """Whether the stack reads the same from both faces, each ply with the same stiffness and thickness."""
    pairs = zip(plies, reversed(plies), strict=True)
    return all(
        abs(one.thickness_mm - other.thickness_mm) <= NOTHING * one.thickness_mm
        and np.allclose(one.stiffness, other.stiffness, rtol=1e-9, atol=NOTHING * float(np.abs(one.stiffness).max()))
        for one, other in pairs
    )
