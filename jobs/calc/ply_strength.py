"""Tensile strength per width of a ply in a direction: one of two methods, never both in one comparison.

Both say something only along a fabric's own fibres; in other directions a ply is counted with nothing, which the screen
says. Strengths per width in N/mm.
"""

from collections.abc import Sequence

from jobs.calc import laminate_properties
from jobs.calc.constituents import BreakingStrains, Materials
from jobs.calc.laid_ply import MAT, PAIR, Family, LaidPly
from jobs.calc.laminate import thickness_mm
from jobs.calc.laminate_properties import PropertiesError, mat_and_woven, unidirectional
from jobs.calc.micromechanics import NR546, class_rule_mat, woven_lamina
from jobs.calc.ply_stiffness import ply_thickness_mm, strand_lamina
from shopstock.calc.forms import E_GLASS

ISO = laminate_properties.METHOD
RULE = f"{NR546}, breaking strains"


def strength_method(plies: Sequence[LaidPly], materials: Materials) -> str | None:
    """The one method that has a figure for every ply of a comparison: the standard's for E-glass in polyester, for
    which alone its lines are drawn, else the rule's.

    None where neither has. Worked: mat and woven roving of E-glass in polyester → ISO 12215-5:2008; in epoxy, or carbon
    cloth → NR546.
    """
    known = [methods_with_a_figure(ply, materials) for ply in plies]
    return next((method for method in (ISO, RULE) if all(method in methods for methods in known)), None)


def methods_with_a_figure(ply: LaidPly, materials: Materials) -> frozenset[str]:
    """The strength methods that know a ply.

    Worked: mat of E-glass in polyester at 0.30 → both; at 0.15, or in epoxy → NR546 only.
    """
    known = ((ISO, _iso_has(ply, materials)), (RULE, _rule_has(ply, materials)))
    return frozenset(method for method, has in known if has)


def _iso_has(ply: LaidPly, materials: Materials) -> bool:
    low, high = laminate_properties.LOWEST_FRACTION, laminate_properties.HIGHEST_FRACTION
    return materials.is_polyester and ply.fabric.fibre == E_GLASS and low <= ply.fraction <= high


def _rule_has(ply: LaidPly, materials: Materials) -> bool:
    data = materials.fibres.get(ply.fabric.fibre)
    if data is None or data.strains is None:
        return False
    return data.strains.mat is not None or all(family.kind != MAT for family in ply.families)


def strength_per_width(ply: LaidPly, direction_deg: float, method: str, materials: Materials) -> float:
    """Tensile strength per width (N/mm) of a ply in a direction (degrees), 0 where the method gives none.

    Raises PropertiesError where the method has no figure for the ply. Source: ISO 12215-5:2008 table C.4, or breaking
    strains of BV NR546 (2022) section 5 table 6, both as restated in public code. Worked: ISO, mat 450 at 0.30 → 89.3.
    """
    if method == ISO:
        return sum(_iso(ply, family) for family in ply.families if family.lies_in(direction_deg))
    strains = materials.fibre(ply.fabric.fibre).strains
    if strains is None:
        raise PropertiesError(f"No breaking strain of {ply.fabric.name} is known.")
    return sum(_rule(ply, family, direction_deg, strains, materials) for family in ply.families)


def _iso(ply: LaidPly, family: Family) -> float:
    if ply.fabric.fibre != E_GLASS:
        raise PropertiesError(f"{ISO} are for E-glass, not for {ply.fabric.name}.")
    line = mat_and_woven if family.kind in (MAT, PAIR) else unidirectional
    return line(ply.fraction).tensile_strength * thickness_mm(family.areal_weight_gsm, ply.fraction)


def _rule(ply: LaidPly, family: Family, direction_deg: float, strains: BreakingStrains, materials: Materials) -> float:
    strand = strand_lamina(ply, materials)
    share = family.areal_weight_gsm / ply.fabric.areal_weight_gsm
    width = share * ply_thickness_mm(ply, materials) * materials.resin.strain_factor / 100
    if family.kind == MAT:
        if strains.mat is None:
            raise PropertiesError(f"No breaking strain of mat is known for {ply.fabric.name}.")
        return strains.mat * class_rule_mat(strand).modulus_along * width
    if family.kind == PAIR:
        return strains.woven * woven_lamina(strand).modulus_along * width * family.lies_in(direction_deg)
    along = strains.along * strand.modulus_along * family.lies_in(direction_deg)
    across = strains.across * strand.modulus_across * family.lies_in(direction_deg + 90)
    return (along + across) * width
