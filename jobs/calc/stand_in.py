"""Could this stack stand in for that one? A vector of ratios, candidate over specification, and a class from the worst.

A surplus in one direction never makes up for a want in another. Material comparison, no structural approval.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.laminate import resin_gsm
from jobs.calc.laminate_stiffness import METHOD, LaminateStiffness, laminate_stiffness
from jobs.calc.micromechanics import NR546
from jobs.calc.ply_stiffness import stiff_ply
from jobs.calc.ply_strength import strength_method, strength_per_width

DIRECTIONS_DEG = (0, 90, 45, -45)
# (name, place in A and D)
STIFFNESS_TERMS = (("0", 0), ("90", 1), ("45", 2))
STIFFNESS_METHOD = f"{NR546} and {METHOD}"
NETTING_METHOD = "fibre weight by direction (cos⁴ of the angle; mat 3/8)"
DEFAULT_TOLERANCE = 0.05
# How much thicker or heavier a stand-in may be unless the job says otherwise; a shop's own choice, no source.
DEFAULT_LIMIT = 0.15
# A specification that carries less than this share of its own largest figure has nothing to compare in that direction.
NOTHING = 1e-6

CLASS_A, CLASS_B, CLASS_C = "A", "B", "C"
CLASS_WORDS = {
    CLASS_A: "does the work in every direction",
    CLASS_B: "does the work with plies added: ask the designer",
    CLASS_C: "not equivalent: ask the designer",
}
# How a class is found, for those who read it. That B asks the designer too, and that lighter plies of the same fabric
# add none, is a reading of ours: an added ply moves the others, adds an interface and takes its place in the mould.
CLASS_RULES = {
    CLASS_A: "every share of fibre, stiffness and strength holds, and so do thickness and mass, with no ply more than "
    "specified. Light plies of the same fabric that come to the weight of a heavy one add none",
    CLASS_B: "the same, with plies added. The designer is asked, since an added ply is one more interface and moves "
    "the others",
    CLASS_C: "any share is short in any direction, the laminate is too thick or too heavy, or a strength is not known",
}
NEEDS_DESIGNER = (CLASS_B, CLASS_C)


@dataclass(frozen=True)
class Measures:
    """What is compared of a stack, per area or per width: g/m², N/mm, N·mm, mm; directions as in DIRECTIONS_DEG.

    ``strength`` is None where no one method has a figure for every ply compared.
    """

    fibre_gsm: tuple[float, ...]
    stretching: tuple[float, ...]
    bending: tuple[float, ...]
    strength: tuple[float, ...] | None
    thickness_mm: float
    mass_gsm: float
    resin_gsm: float
    glass_gsm: float
    plies: int

    def structural(self) -> dict[str, float]:
        """The figures that decide, by name."""
        names = [f"{d:+d}".replace("+0", "0").replace("+90", "90") for d in DIRECTIONS_DEG]
        figures = {f"fibre {name}": value for name, value in zip(names, self.fibre_gsm, strict=True)}
        for kind, values in (("stretching", self.stretching), ("bending", self.bending)):
            figures |= {f"{kind} {name}": value for (name, _), value in zip(STIFFNESS_TERMS, values, strict=True)}
        if self.strength is not None:
            figures |= {f"strength {name}": value for name, value in zip(names, self.strength, strict=True)}
        return figures


@dataclass(frozen=True)
class Comparison:
    """Ratios by name (structural ones, then thickness, mass and resin), the worst, the class and why."""

    ratios: dict[str, float]
    other_ratios: dict[str, float]
    worst: str
    grade: str
    reasons: tuple[str, ...]
    strength_method: str | None

    @property
    def worst_ratio(self) -> float:
        return self.ratios[self.worst]

    @property
    def needs_designer(self) -> bool:
        return self.grade in NEEDS_DESIGNER


def stiffness_of(plies: Sequence[LaidPly], materials: Materials) -> LaminateStiffness:
    """A, B and D of a stack of laid plies, first ply at the mould; raises NoProperties, StiffnessError.

    Worked: mat 450, woven roving 600, mat 450 in polyester → A11 31 043 N/mm, D11 18 342 N·mm.
    """
    return laminate_stiffness([stiff_ply(ply, materials) for ply in plies])


def measures_of(plies: Sequence[LaidPly], materials: Materials, method: str | None) -> Measures:
    """Everything compared of a stack; ``method`` names the strength method of the whole comparison or is None.

    Raises NoProperties, StiffnessError, PropertiesError. Worked: mat 450, woven roving 600, mat 450 → 637.5 g/m² of
    fibre at 0°, 4250 g/m² in all.
    """
    stiffness = stiffness_of(plies, materials)
    glass = sum(ply.fabric.areal_weight_gsm for ply in plies)
    resin = sum(resin_gsm(ply.fabric.areal_weight_gsm, ply.fraction) for ply in plies)
    return Measures(
        fibre_gsm=tuple(sum(ply.fibre_gsm(angle) for ply in plies) for angle in DIRECTIONS_DEG),
        stretching=tuple(float(stiffness.a[at, at]) for _, at in STIFFNESS_TERMS),
        bending=tuple(float(stiffness.d[at, at]) for _, at in STIFFNESS_TERMS),
        strength=None if method is None else strength_of(plies, materials, method),
        thickness_mm=stiffness.thickness_mm,
        mass_gsm=glass + resin,
        resin_gsm=resin,
        glass_gsm=glass,
        plies=len(plies),
    )


def strength_of(plies: Sequence[LaidPly], materials: Materials, method: str) -> tuple[float, ...]:
    """Tensile strength per width (N/mm) summed over plies, in each of DIRECTIONS_DEG.

    Raises PropertiesError. Worked: ISO, mat 450, woven roving 600, mat 450 → 320.6 at 0° and 90°.
    """
    return tuple(sum(strength_per_width(ply, angle, method, materials) for ply in plies) for angle in DIRECTIONS_DEG)


def compare(
    candidate: Sequence[LaidPly],
    specified: Sequence[LaidPly],
    materials: Materials,
    *,
    tolerance: float = DEFAULT_TOLERANCE,
    limit: float = DEFAULT_LIMIT,
) -> Comparison:
    """Ratios of a candidate stack to the specified one, and its class: the worst direction decides.

    ``tolerance`` is how far a ratio may fall below 1; ``limit`` how far thickness and mass may rise above it. A: every
    structural ratio holds and the limits too. B: the same with plies added. C: anything short, unknown or beyond the
    limits. The same fabric in lighter plies that come to the same weight adds no ply. Raises NoProperties,
    StiffnessError, PropertiesError. Worked: mat 600 for the woven roving of mat 450, woven roving 600, mat 450 →
    stretching 1.030, fibre 0.882: class C.
    """
    method = strength_method([*candidate, *specified], materials)
    new, old = measures_of(candidate, materials, method), measures_of(specified, materials, method)
    ratios = structural_ratios(new, old)
    others = {
        "thickness": new.thickness_mm / old.thickness_mm,
        "mass": new.mass_gsm / old.mass_gsm,
        "resin": new.resin_gsm / old.resin_gsm,
    }
    worst = min(ratios, key=ratios.__getitem__)
    wants = _wants(ratios, others, tolerance, limit, method)
    if wants:
        return Comparison(ratios, others, worst, CLASS_C, tuple(wants), method)
    if new.plies > old.plies and not same_kind(candidate, specified):
        more = new.plies - old.plies
        reason = f"{more} ply more than specified" if more == 1 else f"{more} plies more than specified"
        return Comparison(ratios, others, worst, CLASS_B, (reason,), method)
    return Comparison(ratios, others, worst, CLASS_A, (), method)


def structural_ratios(new: Measures, old: Measures) -> dict[str, float]:
    """Candidate over specification for every structural figure that the specification has."""
    new_figures, old_figures = new.structural(), old.structural()
    largest: dict[str, float] = {}
    for name, value in old_figures.items():
        kind = name.split()[0]
        largest[kind] = max(largest.get(kind, 0.0), value)
    return {
        name: new_figures[name] / value
        for name, value in old_figures.items()
        if value > NOTHING * largest[name.split()[0]]
    }


def _wants(
    ratios: dict[str, float], others: dict[str, float], tolerance: float, limit: float, method: str | None
) -> list[str]:
    short = [name for name, ratio in ratios.items() if ratio < 1 - tolerance]
    wants = [
        f"{name.replace('-', '−')}° only {100 * ratios[name]:.0f} % of what is specified"
        for name in _worst_of_each(short, ratios)
    ]
    for name in ("thickness", "mass"):
        if others[name] > 1 + limit:
            wants.append(f"{name} {100 * others[name]:.0f} %, beyond the limit of {100 * (1 + limit):.0f} %")
    if method is None:
        wants.append("no strength is known for these materials")
    return wants


def _worst_of_each(short: list[str], ratios: dict[str, float]) -> list[str]:
    worst: dict[str, str] = {}
    for name in short:
        kind = name.split()[0]
        if kind not in worst or ratios[name] < ratios[worst[kind]]:
            worst[kind] = name
    return list(worst.values())


def same_kind(one: Sequence[LaidPly], other: Sequence[LaidPly]) -> bool:
    """Whether two stacks hold the same sorts of ply in the same weights, however these are split into plies.

    Worked: two plies of woven roving 300 and one of 600 → True.
    """
    return _weights_by_sort(one) == _weights_by_sort(other)


def _weights_by_sort(plies: Sequence[LaidPly]) -> dict[tuple, float]:
    weights: dict[tuple, float] = {}
    for ply in plies:
        shares = tuple(
            sorted(
                (family.kind, round(family.angle_deg, 3), round(family.areal_weight_gsm / _weight(ply), 3))
                for family in ply.families
            )
        )
        sort = (ply.fabric.form, ply.fabric.fibre, ply.fraction, shares)
        weights[sort] = round(weights.get(sort, 0.0) + _weight(ply), 3)
    return weights


def _weight(ply: LaidPly) -> float:
    return ply.fabric.areal_weight_gsm
