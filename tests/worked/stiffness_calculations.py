"""Stiffness, stand-ins and choosing, by the names that worked examples call them. Plies are written as
[areal weight g/m², form, fibre mass fraction, angle °]; forms: mat, woven_roving, stitched (0/90), unidirectional."""

from collections.abc import Callable
from typing import Any

from jobs.calc import micromechanics, stand_in
from jobs.calc.constituents import default_materials
from jobs.calc.laid_ply import Fabric, LaidPly
from jobs.calc.laminate_stiffness import (
    StiffPly,
    bending_moduli,
    in_plane_moduli,
    laminate_stiffness,
    mid_plane_strains,
)
from jobs.calc.ply_stiffness import strand_lamina
from jobs.calc.ply_strength import ISO, strength_per_width
from jobs.calc.stiffness import Lamina, checked_angle, reduced_stiffness, strains, turned_stiffness
from shopstock.calc.directional_fibre import RANDOM, FibreLayer

STIFFNESS_CALCULATIONS: dict[str, Callable[..., Any]] = {}
# Places of a symmetric 3 × 3 matrix in the order in which books print them.
UPPER = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def calculation(function: Callable) -> Callable:
    STIFFNESS_CALCULATIONS[function.__name__] = function
    return function


def lamina_of(figures) -> Lamina:
    return Lamina(*(float(figure) for figure in figures))


def stack_of(lamina, angles_deg, thickness):
    ply = reduced_stiffness(lamina_of(lamina))
    return [StiffPly(turned_stiffness(ply, checked_angle(float(a))), float(thickness)) for a in angles_deg]


def laid(gsm, form, fraction, angle_deg=0) -> LaidPly:
    gsm, turn = float(gsm), float(angle_deg)
    if form == "mat":
        layers = (FibreLayer(gsm, RANDOM),)
    elif form == "unidirectional":
        layers = (FibreLayer(gsm, 0),)
    else:
        layers = (FibreLayer(gsm / 2, 0), FibreLayer(gsm / 2, 90))
    return LaidPly(Fabric(f"{form} {gsm:g}", f"{form} {gsm:g}", form, "e_glass", gsm, layers), turn, float(fraction))


def listed(matrix) -> list[float]:
    return [float(matrix[place]) for place in UPPER]


@calculation
def simple_micromechanics(fraction, fibre, resin):
    """Fibre and resin as [modulus, Poisson's ratio, shear modulus]; along, across, ratio, shear by the simple rules."""
    phi, f, r = float(fraction), [float(x) for x in fibre], [float(x) for x in resin]
    return [
        micromechanics.rule_of_mixtures(phi, f[0], r[0]),
        micromechanics.inverse_rule(phi, f[0], r[0]),
        micromechanics.rule_of_mixtures(phi, f[1], r[1]),
        micromechanics.inverse_rule(phi, f[2], r[2]),
    ]


@calculation
def moduli_along_and_across(fraction, fibre, resin):
    phi, fibre, resin = float(fraction), float(fibre), float(resin)
    return [micromechanics.rule_of_mixtures(phi, fibre, resin), micromechanics.inverse_rule(phi, fibre, resin)]


@calculation
def halpin_tsai(fraction, fibre, resin, shape):
    return micromechanics.halpin_tsai(float(fraction), float(fibre), float(resin), float(shape))


@calculation
def ply_stiffness_at(lamina, angle_deg):
    """Q11, Q12, Q16, Q22, Q26, Q66 of a ply [E1, E2, G12, ν12] at an angle."""
    return listed(turned_stiffness(reduced_stiffness(lamina_of(lamina)), checked_angle(float(angle_deg))))


@calculation
def ply_strains(lamina, angle_deg, stresses):
    return list(strains(lamina_of(lamina), float(angle_deg), tuple(float(x) for x in stresses)))


@calculation
def stack_stiffness(lamina, angles_deg, thickness, matrix):
    """Six figures 11, 12, 16, 22, 26, 66 of matrix a, b or d."""
    return listed(getattr(laminate_stiffness(stack_of(lamina, angles_deg, thickness)), matrix))


@calculation
def stack_strains(lamina, angles_deg, thickness, forces, moments):
    found = laminate_stiffness(stack_of(lamina, angles_deg, thickness))
    return mid_plane_strains(found, [float(x) for x in forces], [float(x) for x in moments])


@calculation
def stack_moduli(lamina, angles_deg, thickness, bending):
    """[along, across, shear, Poisson's ratio] of a stack, in its plane or in bending."""
    found = laminate_stiffness(stack_of(lamina, angles_deg, thickness))
    moduli = (bending_moduli if bending else in_plane_moduli)(found)
    return [moduli.along, moduli.across, moduli.shear, moduli.poisson]


@calculation
def stack_modulus_shear_ratio(lamina, angles_deg, thickness):
    moduli = stack_moduli(lamina, angles_deg, thickness, False)
    return [moduli[0], moduli[2], moduli[3]]


@calculation
def class_rule_lamina(gsm, form, fraction):
    """[E1, E2, G12, ν12] of the strands of an E-glass ply in polyester."""
    lamina = strand_lamina(laid(gsm, form, fraction), default_materials())
    return [lamina.modulus_along, lamina.modulus_across, lamina.shear_modulus, lamina.poisson]


@calculation
def class_rule_ply(gsm, form, fraction):
    """[E, G, ν] of an E-glass mat or balanced cloth in polyester."""
    strand = lamina_of(class_rule_lamina(gsm, form, fraction))
    ply = micromechanics.class_rule_mat(strand) if form == "mat" else micromechanics.woven_lamina(strand)
    return [ply.modulus_along, ply.shear_modulus, ply.poisson]


@calculation
def random_mat(gsm, fraction, rule):
    """[E, G, ν] of an E-glass mat in polyester by the rule named averaged or tsai_pagano."""
    strand = lamina_of(class_rule_lamina(gsm, "mat", fraction))
    mat = {"averaged": micromechanics.averaged_mat, "tsai_pagano": micromechanics.tsai_pagano_mat}[rule](strand)
    return [mat.modulus_along, mat.shear_modulus, mat.poisson]


@calculation
def fan_of_plies(gsm, fraction, plies):
    """[E, G, ν] of the mat's strands laid evenly over all directions, and the same mirrored so that it stays flat."""
    lamina = class_rule_lamina(gsm, "mat", fraction)
    angles = [-90 + 180 * step / plies for step in range(plies)]
    return stack_modulus_shear_ratio(lamina, [*angles, *reversed(angles)], 0.1)


@calculation
def crimped_cloth_factor(fraction, crimped_share, angle_deg):
    """Modulus of a balanced E-glass cloth with crimped yarns over that with straight ones."""
    strand = lamina_of(class_rule_lamina(600, "woven_roving", fraction))
    along = micromechanics.crimped_modulus(strand, float(crimped_share), float(angle_deg))
    crimped = Lamina(along, strand.modulus_across, strand.shear_modulus, strand.poisson)
    straight = micromechanics.woven_lamina(strand)
    return micromechanics.woven_lamina(crimped).modulus_along / straight.modulus_along


@calculation
def lay_up_figures(plies):
    """E-glass in polyester: A11, A66, D11, D66, the modulus along, in shear, Poisson's ratio, thickness."""
    found = stand_in.stiffness_of([laid(*ply) for ply in plies], default_materials())
    moduli = in_plane_moduli(found)
    terms = [found.a[0, 0], found.a[2, 2], found.d[0, 0], found.d[2, 2]]
    return [*map(float, terms), moduli.along, moduli.shear, moduli.poisson, found.thickness_mm]


@calculation
def lay_up_fibre_gsm(plies, direction_deg):
    return sum(laid(*ply).fibre_gsm(float(direction_deg)) for ply in plies)


@calculation
def lay_up_strength(plies, direction_deg):
    """Strength per width in N/mm by ISO 12215-5:2008."""
    materials = default_materials()
    return sum(strength_per_width(laid(*ply), float(direction_deg), ISO, materials) for ply in plies)


@calculation
def stand_in_comparison(specified, candidate):
    """Ratios in the order fibre 0, 90, 45, A11, A22, A66, D11, D22, thickness, mass, resin."""
    found = _compared(specified, candidate)
    names = ["fibre 0", "fibre 90", "fibre +45", "stretching 0", "stretching 90", "stretching 45"]
    ratios = [found.ratios[name] for name in [*names, "bending 0", "bending 90"]]
    return [*ratios, *(found.other_ratios[name] for name in ("thickness", "mass", "resin"))]


@calculation
def stand_in_class(specified, candidate):
    return _compared(specified, candidate).grade


@calculation
def stand_in_strength_ratio(specified, candidate):
    return _compared(specified, candidate).ratios["strength 0"]


def _compared(specified, candidate):
    return stand_in.compare([laid(*p) for p in candidate], [laid(*p) for p in specified], default_materials())
