"""Everything a laminate sheet says of a stack of plies, by one method at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.calc import laminate
from jobs.calc.constituents import Materials, NoProperties
from jobs.calc.laid_ply import LaidPly, LaidPlyError
from jobs.calc.laminate import LaminateError, fibre_volume_fraction, resin_gsm
from jobs.calc.laminate_properties import METHOD as STANDARD
from jobs.calc.laminate_properties import PropertiesError
from jobs.calc.laminate_stiffness import (
    LaminateStiffness,
    Moduli,
    bending_moduli,
    in_plane_moduli,
    is_symmetric,
    laminate_stiffness,
    moduli_by_direction,
)
from jobs.calc.ply_stiffness import ply_thickness_mm, stiff_ply
from jobs.calc.ply_strength import strength_method
from jobs.calc.stand_in import NETTING_METHOD, STIFFNESS_METHOD, strength_of
from jobs.calc.standard_laminate import StandardFigures, standard_figures
from jobs.calc.stiffness import StiffnessError
from jobs.calc.wet_out import WetOutError
from shopstock.calc.directional_fibre import RANDOM
from shopstock.calc.polar_picture import ANGLES_DEG, Curve

# What a lay-up can be refused for; every message says what to do.
REFUSALS = (LaidPlyError, LaminateError, NoProperties, PropertiesError, StiffnessError, WetOutError)
RULE, ISO = "rule", "iso"
METHODS = {RULE: STIFFNESS_METHOD, ISO: STANDARD}


@dataclass(frozen=True)
class SheetRow:
    """One ply: fibre, resin and mass in g/m², thickness in mm, fibre share by mass and by volume, cost per m²."""

    ply: LaidPly
    fibre_gsm: float
    resin_gsm: float
    thickness_mm: float
    volume_fraction: float
    cost: Decimal | None

    @property
    def mass_gsm(self) -> float:
        return self.fibre_gsm + self.resin_gsm

    @property
    def has_direction(self) -> bool:
        return any(layer.angle_deg != RANDOM for layer in self.ply.layers)


@dataclass(frozen=True)
class Sheet:
    """A stack in all; costs are of the reinforcement and, where its price is known, the resin."""

    rows: tuple[SheetRow, ...]
    method: str
    resin_cost: Decimal | None

    @property
    def plies(self) -> tuple[LaidPly, ...]:
        return tuple(row.ply for row in self.rows)

    @property
    def fibre_gsm(self) -> float:
        return sum(row.fibre_gsm for row in self.rows)

    @property
    def resin_gsm(self) -> float:
        return sum(row.resin_gsm for row in self.rows)

    @property
    def mass_gsm(self) -> float:
        return self.fibre_gsm + self.resin_gsm

    @property
    def thickness_mm(self) -> float:
        return sum(row.thickness_mm for row in self.rows)

    @property
    def mass_fraction(self) -> float:
        return self.fibre_gsm / self.mass_gsm

    @property
    def volume_fraction(self) -> float:
        return sum(row.volume_fraction * row.thickness_mm for row in self.rows) / self.thickness_mm

    @property
    def fabric_cost(self) -> Decimal | None:
        costs = [row.cost for row in self.rows]
        return None if None in costs else sum(costs, Decimal(0))

    @property
    def cost(self) -> Decimal | None:
        return None if None in (self.fabric_cost, self.resin_cost) else self.fabric_cost + self.resin_cost


@dataclass(frozen=True)
class RuleFigures:
    """Stiffness by micromechanics and laminate theory, with its plot."""

    stiffness: LaminateStiffness
    stretching: Moduli
    bending: Moduli
    symmetric: bool
    strength_method: str | None
    strength: tuple[float, ...] | None
    fibre_curves: tuple[Curve]
    modulus_curves: tuple[Curve, Curve]

    @property
    def balanced(self) -> bool:
        return not self.stiffness.couples_stretch_and_shear


def sheet_of(
    plies: Sequence[LaidPly],
    materials: Materials,
    method: str,
    prices: Mapping[int | str, Decimal | None],
    resin_price_per_kg: Decimal | None,
) -> Sheet:
    """`prices` per m² by fabric key. Raises what the calculations raise: all of them ValueError."""
    if method == ISO and not materials.is_polyester:
        raise PropertiesError(
            f"{STANDARD} are for E-glass in polyester, not for {materials.resin_name}. Work it out by micromechanics."
        )
    rows = tuple(_row(ply, materials, method, prices.get(ply.fabric.key)) for ply in plies)
    resin_kg = Decimal(sum(row.resin_gsm for row in rows)) / 1000
    return Sheet(rows, method, None if resin_price_per_kg is None else resin_kg * resin_price_per_kg)


def _row(ply: LaidPly, materials: Materials, method: str, cost: Decimal | None) -> SheetRow:
    fibre, resin = materials.fibre(ply.fabric.fibre).stiffness.density, materials.resin.stiffness.density
    weight = ply.fabric.areal_weight_gsm
    if method == ISO:
        fibre, resin = laminate.E_GLASS_DENSITY, laminate.POLYESTER_CURED_DENSITY
    thick = laminate.thickness_mm(weight, ply.fraction) if method == ISO else ply_thickness_mm(ply, materials)
    return SheetRow(
        ply=ply,
        fibre_gsm=weight,
        resin_gsm=resin_gsm(weight, ply.fraction),
        thickness_mm=thick,
        volume_fraction=fibre_volume_fraction(ply.fraction, fibre, resin),
        cost=cost,
    )


def rule_figures(plies: Sequence[LaidPly], materials: Materials) -> RuleFigures:
    stiff = [stiff_ply(ply, materials) for ply in plies]
    found = laminate_stiffness(stiff)
    by_direction = moduli_by_direction(found, ANGLES_DEG)
    method = strength_method(plies, materials)
    return RuleFigures(
        stiffness=found,
        stretching=in_plane_moduli(found),
        bending=bending_moduli(found),
        symmetric=is_symmetric(stiff),
        strength_method=method,
        strength=None if method is None else strength_of(plies, materials, method),
        fibre_curves=(fibre_curve("fibre", plies),),
        modulus_curves=(
            Curve("stretching", tuple(one for one, _ in by_direction)),
            Curve("bending", tuple(one for _, one in by_direction)),
        ),
    )


def standard_table(plies: Sequence[LaidPly]) -> list[tuple[int, StandardFigures]]:
    return [(angle, standard_figures(plies, angle)) for angle in (0, 90)]


def fibre_curve(name: str, plies: Sequence[LaidPly]) -> Curve:
    return Curve(name, tuple(sum(ply.fibre_gsm(angle) for ply in plies) for angle in ANGLES_DEG))


def stretching_curve(name: str, plies: Sequence[LaidPly], materials: Materials) -> Curve:
    found = laminate_stiffness([stiff_ply(ply, materials) for ply in plies])
    return Curve(name, tuple(found.stretching_along(angle) for angle in ANGLES_DEG))


def bending_curve(name: str, plies: Sequence[LaidPly], materials: Materials) -> Curve:
    found = laminate_stiffness([stiff_ply(ply, materials) for ply in plies])
    return Curve(name, tuple(found.bending_along(angle) for angle in ANGLES_DEG))


def methods_named(strength: str | None) -> dict[str, str]:
    """The method behind each kind of figure of one comparison."""
    return {
        "fibre": NETTING_METHOD,
        "stretching and bending": STIFFNESS_METHOD,
        "strength": strength or "no figure: no method knows every material compared",
    }
