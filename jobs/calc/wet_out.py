"""Resin a job needs: default fibre fraction by form and process, resin of a ply, gelcoat, and waste kept apart.

The defaults are those of ISO 12215-5:2008 table C.2 (as restated in public code) or usual shop figures, each marked.
The product's own data sheet goes before them.
"""

from dataclasses import dataclass

from jobs.calc.laminate import resin_gsm
from shopstock.calc import forms

HAND = "hand"
HAND_COMPLEX = "hand_complex"
VACUUM = "vacuum"

PROCESSES = {
    HAND: "by hand or sprayed, simple surface",
    HAND_COMPLEX: "by hand or sprayed, complex surface",
    VACUUM: "vacuum bag or infusion",
}

STANDARD_2008 = "ISO 12215-5:2008 table C.2"
USUAL = "usual shop figure"

_PURE = {
    forms.CHOPPED_STRAND_MAT: (STANDARD_2008, (0.30, 0.25, 0.36)),
    forms.WOVEN_ROVING: (STANDARD_2008, (0.48, 0.36, 0.58)),
    forms.STITCHED_MULTIAXIAL: (STANDARD_2008, (0.50, 0.38, 0.60)),
    forms.UNIDIRECTIONAL: (STANDARD_2008, (0.55, 0.41, 0.66)),
    # The standard has no line for fine cloth. Published hand lay-up figures run from 0.45 to 0.55.
    forms.CLOTH: (USUAL, (0.50, 0.38, 0.60)),
    forms.TAPE: (USUAL, (0.50, 0.38, 0.60)),
    forms.VEIL: (USUAL, (0.15, 0.15, 0.20)),
}
# first − slope · mat share
_COMBINATION = ((0.46, 0.18), (0.35, 0.11), (0.56, 0.22))


class WetOutError(ValueError):
    """A form, process or quantity for which no resin can be worked out."""


@dataclass(frozen=True)
class DefaultFraction:
    """A default fibre mass fraction (0–1) and where it comes from."""

    fraction: float
    source: str


@dataclass(frozen=True)
class WithWaste:
    """A mass in g with its waste in g kept apart, so that the waste stays visible."""

    net_g: float
    waste_g: float

    @property
    def total_g(self) -> float:
        return self.net_g + self.waste_g


def default_fibre_mass_fraction(form: str, process: str, mat_share: float | None = None) -> DefaultFraction:
    """Default fibre mass fraction (0–1) of a form in a process, with its source.

    ``mat_share`` is mat mass over total fibre mass (0–1), needed for combination mat only. Raises WetOutError; core has
    none. Source: ISO 12215-5:2008 table C.2, as restated in public code. Worked: mat by hand → 0.30; combination 0.6
    by hand → 0.352.
    """
    if process not in PROCESSES:
        raise WetOutError(f"“{process}” is not a process known here. Use one of: {', '.join(PROCESSES)}.")
    column = list(PROCESSES).index(process)
    if form == forms.COMBINATION_MAT:
        first, slope = _COMBINATION[column]
        return DefaultFraction(first - slope * _checked_share(mat_share), STANDARD_2008)
    if form not in _PURE:
        raise WetOutError(f"{form} has no fibre fraction: give the resin it takes up from its data sheet.")
    source, fractions = _PURE[form]
    return DefaultFraction(fractions[column], source)


def _checked_share(mat_share: float | None) -> float:
    if mat_share is None or not 0 <= mat_share <= 1:
        raise WetOutError("Combination mat needs the share of mat in its weight, from 0 to 1.")
    return mat_share


def resin_for_ply_g(area_m2: float, areal_weight_gsm: float, fraction: float) -> float:
    """Resin in g held by one ply: area m², dry areal weight g/m², fibre mass fraction 0–1; no waste.

    Raises WetOutError and LaminateError. Worked: 12 m² of 450 g/m² at 0.30 → 12 600 g.
    """
    if area_m2 < 0:
        raise WetOutError(f"An area cannot be negative ({area_m2} m²).")
    return area_m2 * resin_gsm(areal_weight_gsm, fraction)


def with_visible_waste(net_g: float, waste_percent: float) -> WithWaste:
    """A mass in g with its waste, in per cent of that mass, beside it; raises WetOutError.

    Worked: 33 000 g, 10 % → 33 000 + 3300 = 36 300 g.
    """
    if not 0 <= waste_percent <= 100:
        raise WetOutError(f"Waste is given from 0 to 100 %, not {waste_percent} %.")
    return WithWaste(net_g, net_g * waste_percent / 100)


def gelcoat_mass_g(area_m2: float, wet_film_mm: float, density_kg_per_l: float) -> float:
    """Gelcoat in g for an area (m²), wet film (mm) and liquid density (kg/L); nothing lost in application.

    Raises WetOutError. Source: volume times density. Worked: 10 m², 0.5 mm, 1.20 → 6000 g.
    """
    if area_m2 < 0 or not 0 < wet_film_mm <= 5 or not 0.5 <= density_kg_per_l <= 3:
        raise WetOutError("Gelcoat needs an area in m², a wet film up to 5 mm (0.5 is usual) and a density in kg/L.")
    return area_m2 * wet_film_mm * density_kg_per_l * 1000


def to_issue_g(net_g: float, lost_percent: float) -> float:
    """Mass in g to issue so that ``net_g`` g stays in the part when ``lost_percent`` of the issue is lost.

    For overspray or styrene given off. Raises WetOutError. Worked: 1000 g, 3 % → 1030.9 g.
    """
    if not 0 <= lost_percent < 100:
        raise WetOutError(f"A loss is given from 0 to below 100 %, not {lost_percent} %.")
    return net_g / (1 - lost_percent / 100)


def dry_film_mm(gelcoat_gsm: float, volatile_loss: float, cured_density_kg_per_l: float) -> float:
    """Dry gelcoat film in mm from gelcoat laid (g/m²), share lost by evaporation (0–1) and cured density (kg/L).

    Raises WetOutError. Worked: 600 g/m², 0.04, 1.25 → 0.461 mm.
    """
    if gelcoat_gsm < 0 or not 0 <= volatile_loss < 1 or cured_density_kg_per_l <= 0:
        raise WetOutError("A dry film needs gelcoat in g/m², a loss from 0 to below 1 and a cured density in kg/L.")
    return gelcoat_gsm * (1 - volatile_loss) / (1000 * cured_density_kg_per_l)
