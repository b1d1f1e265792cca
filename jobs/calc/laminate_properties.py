"""Strength and stiffness of glass/polyester from the fibre mass fraction: defaults of ISO 12215-5:2008, annex C.

The 2008 edition has been replaced; these are read second-hand, as restated in public code, and serve to compare
materials, not to approve a structure. Never mix them in one comparison with figures from another method. All figures
in N/mm².
"""

from dataclasses import dataclass

METHOD = "ISO 12215-5:2008 annex C defaults"
LOWEST_FRACTION, HIGHEST_FRACTION = 0.20, 0.75
# No tests made, simple quality control: every figure is reduced.
UNTESTED = 0.8
# Share of the ultimate strength that the standard lets a panel be designed to.
DESIGN_SHARE = 0.5


class PropertiesError(ValueError):
    """A fibre fraction outside the range for which the lines were drawn."""


@dataclass(frozen=True)
class Properties:
    """Ultimate strengths and moduli in N/mm²."""

    tensile_strength: float
    compressive_strength: float
    flexural_strength: float
    shear_strength: float
    modulus: float
    shear_modulus: float
    interlaminar_strength: float

    def reduced(self, factor: float) -> "Properties":
        return Properties(**{name: value * factor for name, value in vars(self).items()})


def _check(fraction: float) -> None:
    if not LOWEST_FRACTION <= fraction <= HIGHEST_FRACTION:
        raise PropertiesError(
            f"The lines of {METHOD} hold for fibre mass fractions from {LOWEST_FRACTION} to {HIGHEST_FRACTION}, not "
            f"for {fraction}."
        )


def mat_and_woven(fraction: float, *, tested: bool = True) -> Properties:
    """Properties (N/mm²) of hand-laid mat, woven roving, their combinations and 0/90 fabric, E-glass/polyester.

    ``fraction`` is the fibre mass fraction 0.20–0.75; not ``tested`` takes 0.8 of everything. Raises PropertiesError.
    Source: ISO 12215-5:2008 table C.4, as restated in public code. Worked: 0.30 → 85, 117, 152.18, 62, 6400, 2750,
    17.25.
    """
    _check(fraction)
    properties = Properties(
        tensile_strength=800 * fraction**2 - 80 * fraction + 37,
        compressive_strength=150 * fraction + 72,
        flexural_strength=502 * fraction**2 + 107,
        shear_strength=80 * fraction + 38,
        modulus=38000 * fraction - 5000,
        shear_modulus=1700 * fraction + 2240,
        interlaminar_strength=22.5 - 17.5 * fraction,
    )
    return properties if tested else properties.reduced(UNTESTED)


def unidirectional(fraction: float, *, tested: bool = True) -> Properties:
    """Properties (N/mm²) of a unidirectional ply along its fibres, E-glass/polyester.

    Arguments, errors and source as mat_and_woven. Worked: 0.55 → 483.2, 327.5, 488.0, 50, 25 307.
    """
    _check(fraction)
    tensile = 880 * fraction**2 + 140 * fraction + 140
    compressive = 250 * fraction + 190
    properties = Properties(
        tensile_strength=tensile,
        compressive_strength=compressive,
        flexural_strength=2.5 * tensile / (1 + tensile / compressive),
        shear_strength=50.0,
        modulus=46600 * fraction**2 + 7200 * fraction + 7250,
        shear_modulus=14380 * fraction**2 - 10560 * fraction + 3840,
        interlaminar_strength=22.5 - 17.5 * fraction,
    )
    return properties if tested else properties.reduced(UNTESTED)


def design_stress(ultimate_strength: float) -> float:
    """Design stress in N/mm² from the ultimate strength in N/mm². Worked: 121.7 → 60.9. Source: ISO 12215-5:2008."""
    return DESIGN_SHARE * ultimate_strength
