"""Thickness, mass and resin of a laminate from its dry fibre and the fibre mass fraction.

Everything follows from the dry areal weight (g/m²), the fibre mass fraction (0 to 1) and two densities (g/cm³). Resin
density here is that of *cured* resin; buying and mixing use the liquid's. A fraction is never rounded before it is
used: a published example that rounds 0.3853 to 0.39 comes out 1.4 % too thin.
"""

from collections.abc import Sequence
from dataclasses import dataclass

E_GLASS_DENSITY = 2.56
POLYESTER_CURED_DENSITY = 1.20


class LaminateError(ValueError):
    """A fraction, weight or density from which no laminate can be made."""


@dataclass(frozen=True)
class Ply:
    """One ply: dry areal weight g/m², fibre mass fraction 0–1, area m², densities g/cm³, how many times it is laid."""

    areal_weight_gsm: float
    fibre_mass_fraction: float
    area_m2: float = 1.0
    fibre_density: float = E_GLASS_DENSITY
    resin_density: float = POLYESTER_CURED_DENSITY
    count: int = 1


@dataclass(frozen=True)
class LaminateTotals:
    """A stack of plies: per area where all plies lie (g/m², mm), and in all over each ply's own area (g)."""

    fibre_gsm: float
    resin_gsm: float
    thickness_mm: float
    fibre_g: float
    resin_g: float

    @property
    def laminate_gsm(self) -> float:
        return self.fibre_gsm + self.resin_gsm

    @property
    def laminate_g(self) -> float:
        return self.fibre_g + self.resin_g

    @property
    def fibre_mass_fraction(self) -> float:
        return self.fibre_gsm / self.laminate_gsm


def _check_fraction(fraction: float) -> None:
    if not 0 < fraction <= 1:
        raise LaminateError(f"A fibre fraction lies above 0 and up to 1, not at {fraction}. Write 30 % as 0.30.")


def _check_densities(*densities: float) -> None:
    for density in densities:
        if not 0.5 <= density <= 5:
            raise LaminateError(f"{density} is no density of fibre or resin in g/cm³, which lie from 0.5 to 5.")


def fibre_volume_fraction(fibre_mass_fraction: float, fibre_density: float, resin_density: float) -> float:
    """Share of the volume that is fibre, 0 to 1, from its share of the mass (0–1) and densities in g/cm³; void-free.

    Raises LaminateError. Source: identity. Worked: 0.30, 2.56, 1.20 → 0.1673.
    """
    _check_fraction(fibre_mass_fraction)
    _check_densities(fibre_density, resin_density)
    fibre, resin = fibre_mass_fraction / fibre_density, (1 - fibre_mass_fraction) / resin_density
    return fibre / (fibre + resin)


def fibre_mass_fraction(volume_fraction: float, fibre_density: float, resin_density: float) -> float:
    """Share of the mass that is fibre, 0 to 1, from its share of the volume (0–1) and densities in g/cm³; void-free.

    Raises LaminateError. Source: identity. Worked: 0.55, 1.80, 1.20 → 0.6471.
    """
    _check_fraction(volume_fraction)
    _check_densities(fibre_density, resin_density)
    fibre, resin = volume_fraction * fibre_density, (1 - volume_fraction) * resin_density
    return fibre / (fibre + resin)


def fraction_from_resin_ratio(resin_per_fibre: float) -> float:
    """Fibre mass fraction (0–1) from resin mass per fibre mass; raises LaminateError. Worked: 2.5 → 0.2857."""
    if resin_per_fibre < 0:
        raise LaminateError(f"Resin per fibre cannot be negative ({resin_per_fibre}).")
    return 1 / (1 + resin_per_fibre)


def resin_ratio(fraction: float) -> float:
    """Resin mass per fibre mass from the fibre mass fraction (0–1); raises LaminateError. Worked: 0.30 → 2.3333."""
    _check_fraction(fraction)
    return (1 - fraction) / fraction


def resin_gsm(areal_weight_gsm: float, fraction: float) -> float:
    """Resin held in the laminate in g/m², from dry areal weight (g/m²) and fibre mass fraction (0–1).

    Raises LaminateError. Source: identity. Worked: 450 at 0.30 → 1050.
    """
    if areal_weight_gsm < 0:
        raise LaminateError(f"An areal weight cannot be negative ({areal_weight_gsm} g/m²).")
    return areal_weight_gsm * resin_ratio(fraction)


def laminate_density(fraction: float, fibre_density: float, resin_density: float) -> float:
    """Density of the laminate in g/cm³ from the fibre mass fraction (0–1) and densities in g/cm³; void-free.

    Raises LaminateError. Source: identity. Worked: 0.30, 2.56, 1.20 → 1.4275.
    """
    _check_fraction(fraction)
    _check_densities(fibre_density, resin_density)
    return 1 / (fraction / fibre_density + (1 - fraction) / resin_density)


def thickness_mm(
    areal_weight_gsm: float,
    fraction: float,
    fibre_density: float = E_GLASS_DENSITY,
    resin_density: float = POLYESTER_CURED_DENSITY,
    void_fraction: float = 0.0,
) -> float:
    """Thickness in mm of a ply from dry areal weight (g/m²), fibre mass fraction (0–1) and densities (g/cm³).

    ``void_fraction`` is the share of the volume that is air, 0 to below 1. Raises LaminateError. Source: identity; with
    2.56 and 1.20 it is ISO 12215-5:2008 eq. C.1. Worked: 450 at 0.30 → 1.0508 mm.
    """
    if not 0 <= void_fraction < 1:
        raise LaminateError(f"A void fraction lies from 0 to below 1, not at {void_fraction}.")
    _check_densities(fibre_density, resin_density)
    kg_per_m2, resin_kg = areal_weight_gsm / 1000, resin_gsm(areal_weight_gsm, fraction) / 1000
    return (kg_per_m2 / fibre_density + resin_kg / resin_density) / (1 - void_fraction)


# fibre: (first constant, second constant, divisor) of t = w · (first / fraction − second) / divisor
_ISO_THICKNESS = {"e_glass": (2.56, 1.36, 3.072), "carbon": (1.8, 0.6, 2.16), "aramid": (1.45, 0.25, 1.74)}


def iso_thickness_mm(areal_weight_gsm: float, fraction: float, fibre: str = "e_glass") -> float:
    """Thickness in mm as ISO 12215-5:2008 prints it, from dry areal weight (g/m²) and fibre mass fraction (0–1).

    ``fibre`` is e_glass, carbon or aramid. Raises LaminateError. Source: ISO 12215-5:2008 annex C, eq. C.1, C.3,
    C.5, as restated in public code. Worked: 1000 at 0.30 → 2.335 mm (the table prints 2.34).
    """
    _check_fraction(fraction)
    if fibre not in _ISO_THICKNESS:
        raise LaminateError(f"The standard gives no thickness for {fibre}: use thickness_mm with its density.")
    first, second, divisor = _ISO_THICKNESS[fibre]
    return areal_weight_gsm / 1000 * (first / fraction - second) / divisor


def laminate_totals(plies: Sequence[Ply]) -> LaminateTotals:
    """Fibre, resin, thickness and overall fibre fraction of a stack of plies.

    Per-area figures (g/m², mm) hold where all plies lie; masses (g) are summed over each ply's own area (m²). Raises
    LaminateError for an empty stack or a ply that cannot be. Source: sums of the identities. Worked: 450 mat, 600 woven
    roving, 450 mat at 0.30, 0.48, 0.30 → fibre 1500, resin 2750 g/m².
    """
    if not plies or any(ply.count < 1 or ply.area_m2 <= 0 or ply.areal_weight_gsm <= 0 for ply in plies):
        raise LaminateError("A laminate needs at least one ply, each with a weight, an area and a count above zero.")
    resins = [ply.count * resin_gsm(ply.areal_weight_gsm, ply.fibre_mass_fraction) for ply in plies]
    fibres = [ply.count * ply.areal_weight_gsm for ply in plies]
    return LaminateTotals(
        fibre_gsm=sum(fibres),
        resin_gsm=sum(resins),
        thickness_mm=sum(ply.count * _ply_thickness_mm(ply) for ply in plies),
        fibre_g=sum(gsm * ply.area_m2 for gsm, ply in zip(fibres, plies, strict=True)),
        resin_g=sum(gsm * ply.area_m2 for gsm, ply in zip(resins, plies, strict=True)),
    )


def _ply_thickness_mm(ply: Ply) -> float:
    return thickness_mm(ply.areal_weight_gsm, ply.fibre_mass_fraction, ply.fibre_density, ply.resin_density)
