"""Choose a fabric: which reinforcements and simple lay-ups of them do what a part asks, lightest first.

A simple lay-up is a number of plies of one fabric, alone or between two plies of mat. Every lay-up is tried with as few
plies as will do. Material comparison, no structural approval.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.laminate import resin_gsm
from jobs.calc.laminate_stiffness import LaminateStiffness, laminate_stiffness
from jobs.calc.ply_stiffness import stiff_ply
from jobs.calc.ply_strength import strength_method, strength_per_width

ONE_WAY, TWO_WAYS, EVERY_WAY = "one", "two", "every"
LOADS_DEG: dict[str, tuple[int, ...]] = {ONE_WAY: (0,), TWO_WAYS: (0, 90), EVERY_WAY: (0, 90, 45, -45)}
FLAT, SINGLE_CURVE, COMPOUND_CURVE = "flat", "single", "compound"
# The least drape (1 to 5) for each shape; a shop's own rating, no source.
LEAST_DRAPE = {FLAT: 1, SINGLE_CURVE: 2, COMPOUND_CURVE: 4}
MOST_PLIES = 12
# As for stand-ins: how far a figure may fall below that of a reference lay-up.
TOLERANCE = 0.05


class ChoosingError(ValueError):
    """A wish that nothing can be chosen by; the message says what to add."""


class PreparedPly:
    """A laid ply whose stiffness and strength are worked out once, for the many lay-ups that it is tried in."""

    def __init__(self, ply: LaidPly, materials: Materials):
        self.ply = ply
        self.materials = materials
        self.stiff = stiff_ply(ply, materials)
        self.fibre_gsm = ply.fabric.areal_weight_gsm
        self.resin_gsm = resin_gsm(ply.fabric.areal_weight_gsm, ply.fraction)
        self._strengths: dict[tuple[float, str], float] = {}

    def strength(self, direction_deg: float, method: str) -> float:
        key = direction_deg, method
        if key not in self._strengths:
            self._strengths[key] = strength_per_width(self.ply, direction_deg, method, self.materials)
        return self._strengths[key]


@dataclass(frozen=True)
class LayUp:
    """A stack of prepared plies with what is asked of it: g/m², mm, N/mm, N·mm, directions in degrees."""

    plies: tuple[PreparedPly, ...]

    @cached_property
    def stiffness(self) -> LaminateStiffness:
        return laminate_stiffness([ply.stiff for ply in self.plies])

    @property
    def laid(self) -> tuple[LaidPly, ...]:
        return tuple(ply.ply for ply in self.plies)

    @property
    def fibre_gsm(self) -> float:
        return sum(ply.fibre_gsm for ply in self.plies)

    @property
    def resin_gsm(self) -> float:
        return sum(ply.resin_gsm for ply in self.plies)

    @property
    def mass_gsm(self) -> float:
        return self.fibre_gsm + self.resin_gsm

    @property
    def thickness_mm(self) -> float:
        return self.stiffness.thickness_mm

    def stretching(self, direction_deg: float) -> float:
        return self.stiffness.stretching_along(direction_deg)

    def bending(self, direction_deg: float) -> float:
        return self.stiffness.bending_along(direction_deg)

    def fibre_in(self, direction_deg: float) -> float:
        return sum(ply.ply.fibre_gsm(direction_deg) for ply in self.plies)

    def strength(self, direction_deg: float, method: str) -> float:
        return sum(ply.strength(direction_deg, method) for ply in self.plies)


@dataclass(frozen=True)
class Wish:
    """What the part asks: directions loaded (degrees) and targets, each None when it does not matter.

    Thickness in mm and mass in g/m² of the laminate; stretching in N/mm and bending in N·mm per width, in every loaded
    direction; ``reference`` a lay-up whose fibre, stretching, bending and strength must be reached there.
    """

    directions_deg: tuple[int, ...]
    least_thickness_mm: float | None = None
    most_mass_gsm: float | None = None
    least_stretching: float | None = None
    least_bending: float | None = None
    reference: LayUp | None = None

    def __post_init__(self):
        floors = (self.least_thickness_mm, self.least_stretching, self.least_bending)
        if not self.reference and self.most_mass_gsm is None and all(floor is None for floor in floors):
            raise ChoosingError("Give at least one target: a thickness, a mass, a stiffness or a reference lay-up.")


@dataclass(frozen=True)
class Answer:
    """A lay-up offered: of which fabrics, what it comes to, and the targets it misses, in words."""

    lay_up: LayUp
    misses: tuple[str, ...] = ()

    @property
    def does_it(self) -> bool:
        return not self.misses


def misses(lay_up: LayUp, wish: Wish) -> list[str]:
    """The targets that a lay-up misses, in words with figures; empty when it does all.

    Raises NoProperties, StiffnessError, PropertiesError. Worked: two plies of mat 450 (2.1 mm) for 3 mm → one miss.
    """
    found = []
    if wish.least_thickness_mm is not None and lay_up.thickness_mm < wish.least_thickness_mm:
        found.append(f"{lay_up.thickness_mm:.2f} mm thick, {wish.least_thickness_mm:g} mm asked")
    if wish.most_mass_gsm is not None and lay_up.mass_gsm > wish.most_mass_gsm:
        found.append(f"{lay_up.mass_gsm / 1000:.2f} kg/m², at most {wish.most_mass_gsm / 1000:g} kg/m² asked")
    found += _short(lay_up.stretching, wish.least_stretching, wish, "N/mm in stretching")
    found += _short(lay_up.bending, wish.least_bending, wish, "N·mm in bending")
    if wish.reference:
        found += _short_of_reference(lay_up, wish)
    return found


def _short(figure: Callable[[float], float], least: float | None, wish: Wish, what: str) -> list[str]:
    if least is None:
        return []
    worst, angle = min((figure(angle), angle) for angle in wish.directions_deg)
    return [f"{worst:,.0f} {what} at {angle}°, {least:,.0f} asked"] if worst < least else []


def _short_of_reference(lay_up: LayUp, wish: Wish) -> list[str]:
    reference = wish.reference
    method = strength_method([*lay_up.laid, *reference.laid], lay_up.plies[0].materials)
    kinds: list[tuple[str, Callable[[LayUp, float], float]]] = [
        ("fibre", LayUp.fibre_in),
        ("stretching", LayUp.stretching),
        ("bending", LayUp.bending),
    ]
    if method is not None:
        kinds.append(("strength", lambda one, angle: one.strength(angle, method)))
    found = []
    for name, figure in kinds:
        known = {angle: figure(reference, angle) for angle in wish.directions_deg}
        largest = max(known.values())
        ratios = [(figure(lay_up, a) / value, a) for a, value in known.items() if value > 1e-6 * largest]
        ratio, angle = min(ratios, default=(1.0, 0))
        if ratio < 1 - TOLERANCE:
            found.append(f"{name} at {angle}° only {100 * ratio:.0f} % of the reference")
    return found


def prepare(plies: Sequence[LaidPly], materials: Materials) -> LayUp:
    """A lay-up of plies, mould side first, ready to be compared; raises NoProperties, StiffnessError."""
    return LayUp(tuple(PreparedPly(ply, materials) for ply in plies))


def simplest(main: PreparedPly, mat: PreparedPly | None, wish: Wish) -> Answer:
    """The lay-up of fewest plies of ``main`` (between two of ``mat``, if given) that does what is wished.

    When up to 12 plies do not, or its mass comes first, the last one inside the mass, with what it misses. Raises
    NoProperties, StiffnessError, PropertiesError. Worked: mat 450 for 3 mm → 3 plies, 3.15 mm.
    """
    answer = None
    for count in range(1, MOST_PLIES + 1):
        plies = (main,) * count if mat is None else (mat, *(main,) * count, mat)
        lay_up = LayUp(plies)
        too_heavy = wish.most_mass_gsm is not None and lay_up.mass_gsm > wish.most_mass_gsm
        if answer is not None and too_heavy:
            return answer
        answer = Answer(lay_up, tuple(misses(lay_up, wish)))
        if answer.does_it and not _only_mass(wish):
            return answer
    return answer


def _only_mass(wish: Wish) -> bool:
    """With no target but a mass, the lay-up is filled up to it."""
    floors = (wish.least_thickness_mm, wish.least_stretching, wish.least_bending)
    return not wish.reference and all(floor is None for floor in floors)


def answers(mains: Sequence[LaidPly], mats: Sequence[LaidPly], materials: Materials, wish: Wish) -> list[Answer]:
    """Simple lay-ups of every fabric, alone and between every mat, those that do it first, then lightest first.

    Raises NoProperties, StiffnessError, PropertiesError. Worked: mat 450 and woven roving 600, mat 450 as
    mat, for 3 mm → three lay-ups, mat 450 / woven roving 600 / mat 450 of 2.9 mm not among them.
    """
    prepared = [PreparedPly(ply, materials) for ply in mains]
    outer = [None, *(PreparedPly(ply, materials) for ply in mats)]
    between = {ply.fabric for ply in mats}
    pairs = [(main, mat) for main in prepared for mat in outer if mat is None or main.ply.fabric not in between]
    found = [simplest(main, mat, wish) for main, mat in pairs]
    return sorted(found, key=lambda answer: (not answer.does_it, answer.lay_up.mass_gsm))
