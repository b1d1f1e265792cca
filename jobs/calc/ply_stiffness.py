"""Stiffness and thickness of a laid ply by the micromechanics of a class rule.

The layers of one fabric are smeared over its thickness: a data sheet seldom says which lies on top, and turning the
fabric over swaps them. So a ply never couples stretching and bending by itself.
"""

import numpy as np

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.laminate import fibre_volume_fraction, thickness_mm
from jobs.calc.laminate_stiffness import StiffPly
from jobs.calc.micromechanics import class_rule_lamina, class_rule_mat
from jobs.calc.stiffness import Lamina, reduced_stiffness, turned_stiffness
from shopstock.calc.directional_fibre import RANDOM
from shopstock.calc.forms import CLOTH, TAPE, WOVEN_ROVING

WOVEN = (CLOTH, WOVEN_ROVING, TAPE)


def ply_thickness_mm(ply: LaidPly, materials: Materials) -> float:
    """Thickness of a ply in mm, from the densities of its materials. Worked: 450 g/m² mat at 0.30, NR546 → 1.0501."""
    fibre, resin = materials.fibre(ply.fabric.fibre).stiffness, materials.resin.stiffness
    return thickness_mm(ply.fabric.areal_weight_gsm, ply.fraction, fibre.density, resin.density)


def strand_lamina(ply: LaidPly, materials: Materials) -> Lamina:
    """A unidirectional ply (N/mm²) of the same fibre, resin and fibre fraction; woven yarns with the crimp's factor.

    Raises NoProperties, StiffnessError. Worked: E-glass, polyester, 0.30 → 15 147 N/mm² along.
    """
    fibre, resin = materials.fibre(ply.fabric.fibre).stiffness, materials.resin.stiffness
    volume = fibre_volume_fraction(ply.fraction, fibre.density, resin.density)
    lamina = class_rule_lamina(volume, fibre, resin)
    factor = materials.woven_factor if ply.fabric.form in WOVEN else 1.0
    return Lamina(lamina.modulus_along * factor, lamina.modulus_across, lamina.shear_modulus, lamina.poisson)


def stiff_ply(ply: LaidPly, materials: Materials) -> StiffPly:
    """Stiffness (N/mm², in the laminate's axes) and thickness (mm) of a ply, its layers smeared by their weight.

    Raises NoProperties, StiffnessError. Source: BV NR546 (2022) section 5, as restated in public code; for two equal
    layers at right angles it is the rule's woven roving. Worked: woven roving 600 at 0.48 in polyester → 15 101 N/mm².
    """
    strand = strand_lamina(ply, materials)
    along, mat = reduced_stiffness(strand), reduced_stiffness(class_rule_mat(strand))
    total = np.zeros((3, 3))
    for layer in ply.layers:
        share = layer.areal_weight_gsm / ply.fabric.areal_weight_gsm
        total += share * (mat if layer.angle_deg == RANDOM else turned_stiffness(along, layer.angle_deg))
    return StiffPly(total, ply_thickness_mm(ply, materials))
