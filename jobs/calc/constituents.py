"""Elastic figures of fibres and cured resins that the program starts from, each to be replaced by a data sheet's own.

Moduli in N/mm², densities in g/cm³, breaking strains in per cent. The figures are those of BV NR546 (2022) section 4,
tables 1 and 2, and section 5, table 6, as restated in public code: minimum values for information. Fibres that the rule
note does not list have none; their data sheet must be typed in.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from jobs.calc.micromechanics import NR546, FibreStiffness, ResinStiffness
from shopstock.calc.forms import ARAMID, CARBON, E_GLASS, FIBRES

POLYESTER, VINYLESTER, EPOXY = "polyester", "vinylester", "epoxy"
RESIN_NAMES = {POLYESTER: "polyester, cured", VINYLESTER: "vinyl ester, cured", EPOXY: "epoxy, cured"}
DEFAULT_SOURCE = f"{NR546}, sections 4 and 5, as restated in public code"


class NoProperties(ValueError):
    """A material without elastic figures; the message says where to enter them."""


@dataclass(frozen=True)
class BreakingStrains:
    """Strains in per cent at which plies break in tension: strand along and across, woven, mat (None: not known)."""

    along: float
    across: float
    woven: float
    mat: float | None = None


@dataclass(frozen=True)
class FibreData:
    """A fibre's figures with their source; ``strains`` None where no breaking strain is known."""

    stiffness: FibreStiffness
    strains: BreakingStrains | None
    source: str
    own: bool = False


@dataclass(frozen=True)
class ResinData:
    """A cured resin's figures with their source; ``strain_factor`` multiplies the breaking strains."""

    stiffness: ResinStiffness
    strain_factor: float
    source: str
    own: bool = False


FIBRE_DATA: dict[str, FibreData] = {
    E_GLASS: FibreData(
        FibreStiffness(73_100, 73_100, 30_000, 0.238, 2.57, (1.0, 0.8, 0.9, 0.9)),
        BreakingStrains(2.7, 0.53, 1.8, 1.55),
        DEFAULT_SOURCE,
    ),
    CARBON: FibreData(
        FibreStiffness(238_000, 15_000, 50_000, 0.3, 1.79, (1.0, 0.7, 0.9, 0.8)),
        BreakingStrains(1.2, 1.0, 1.0),
        f"{DEFAULT_SOURCE}; high strength carbon",
    ),
    ARAMID: FibreData(
        FibreStiffness(129_000, 5_400, 12_000, 0.38, 1.45, (0.95, 0.9, 0.55, 0.9)),
        BreakingStrains(1.7, 0.8, 1.4),
        DEFAULT_SOURCE,
    ),
}
RESIN_DATA: dict[str, ResinData] = {
    POLYESTER: ResinData(ResinStiffness(3_550, 1_350, 0.38, 1.20), 0.8, DEFAULT_SOURCE),
    VINYLESTER: ResinData(ResinStiffness(3_350, 1_400, 0.26, 1.10), 0.9, DEFAULT_SOURCE),
    EPOXY: ResinData(ResinStiffness(3_100, 1_500, 0.39, 1.25), 1.0, DEFAULT_SOURCE),
}


@dataclass(frozen=True)
class Materials:
    """The figures that one comparison uses throughout: fibres, one resin, and a factor for the crimp of woven yarns."""

    resin: ResinData
    fibres: Mapping[str, FibreData] = field(default_factory=lambda: FIBRE_DATA)
    resin_name: str = RESIN_NAMES[POLYESTER]
    woven_factor: float = 1.0

    def fibre(self, key: str) -> FibreData:
        """The figures of a fibre; raises NoProperties."""
        if key not in self.fibres:
            name = FIBRES[key].name if key in FIBRES else key
            raise NoProperties(f"There are no elastic figures of {name} yet. Enter them from its data sheet.")
        return self.fibres[key]

    @property
    def is_polyester(self) -> bool:
        """The resin for which the standard's default lines are drawn."""
        return self.resin_name == RESIN_NAMES[POLYESTER]


def default_materials(resin: str = POLYESTER) -> Materials:
    """The starting figures with one resin; raises NoProperties. Worked: polyester → modulus 3550 N/mm²."""
    if resin not in RESIN_DATA:
        raise NoProperties(f"“{resin}” is no laminating resin known here. Use one of: {', '.join(RESIN_DATA)}.")
    return Materials(RESIN_DATA[resin], resin_name=RESIN_NAMES[resin])
