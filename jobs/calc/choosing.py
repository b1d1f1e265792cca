"""Choose a fabric: which reinforcements and simple lay-ups of them do what a part asks, lightest first.

A simple lay-up is a number of plies of one fabric, alone or between two plies of mat. Every lay-up is tried with as few
plies as will do. Material comparison, no structural approval.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from math import floor

from jobs.calc.constituents import Materials
from jobs.calc.laid_ply import LaidPly
from jobs.calc.laminate import resin_gsm
from jobs.calc.laminate_stiffness import LaminateStiffness, StiffPly, laminate_stiffness
from jobs.calc.ply_stiffness import stiff_ply
from jobs.calc.ply_strength import RULE, methods_with_a_figure, strength_method, strength_per_width

ONE_WAY, TWO_WAYS, EVERY_WAY = "one", "two", "every"
LOADS_DEG: dict[str, tuple[int, ...]] = {ONE_WAY: (0,), TWO_WAYS: (0, 90), EVERY_WAY: (0, 90, 45, -45)}
FLAT, SINGLE_CURVE, COMPOUND_CURVE = "flat", "single", "compound"
# The least drape (1 to 5) for each shape; a shop's own rating, no source.
LEAST_DRAPE = {FLAT: 1, SINGLE_CURVE: 2, COMPOUND_CURVE: 4}
MOST_PLIES = 12
# A lay-up of whose fibre less than this works in a loaded direction does not carry there; a shop's figure, no source.
LEAST_WORKING = 0.10
# As for stand-ins: how far a figure may fall below that of a reference lay-up.
TOLERANCE = 0.05


class ChoosingError(ValueError):
    """A wish that nothing can be chosen by; the message says what to add."""


class PreparedPly:
    """A laid ply whose figures are worked out once, for the many lay-ups that it is tried in."""

    def __init__(self, ply: LaidPly, materials: Materials):
        self.ply = ply
        self.materials = materials
        self.stiff = stiff_ply(ply, materials)
        self.fibre_gsm = ply.fabric.areal_weight_gsm
        self.resin_gsm = resin_gsm(ply.fabric.areal_weight_gsm, ply.fraction)
        self.mass_gsm = self.fibre_gsm + self.resin_gsm
        self.strength_methods = methods_with_a_figure(ply, materials)
        self.fibre_in = cache(ply.fibre_gsm)
        self.strength = cache(lambda angle, method: strength_per_width(ply, angle, method, materials))


@dataclass(frozen=True)
class LayUp:
    """A stack as runs of (prepared ply, how many), with what is asked of it: g/m², mm, N/mm, N·mm, degrees."""

    runs: tuple[tuple[PreparedPly, int], ...]

    @cached_property
    def stiffness(self) -> LaminateStiffness:
        """Equal plies on one another are as one thick ply."""
        return laminate_stiffness(
            [StiffPly(ply.stiff.stiffness, count * ply.stiff.thickness_mm) for ply, count in self.runs]
        )

    @property
    def laid(self) -> tuple[LaidPly, ...]:
        return tuple(ply.ply for ply, count in self.runs for _ in range(count))

    @property
    def fibre_gsm(self) -> float:
        return sum(count * ply.fibre_gsm for ply, count in self.runs)

    @property
    def resin_gsm(self) -> float:
        return sum(count * ply.resin_gsm for ply, count in self.runs)

    @property
    def mass_gsm(self) -> float:
        return self.fibre_gsm + self.resin_gsm

    @property
    def thickness_mm(self) -> float:
        return sum(count * ply.stiff.thickness_mm for ply, count in self.runs)

    @property
    def strength_methods(self) -> frozenset[str]:
        return frozenset.intersection(*(ply.strength_methods for ply, _ in self.runs))

    @cached_property
    def _along(self) -> dict[tuple[str, float], float]:
        return {}

    def stretching(self, direction_deg: float) -> float:
        key = "stretching", direction_deg
        if key not in self._along:
            self._along[key] = self.stiffness.stretching_along(direction_deg)
        return self._along[key]

    def bending(self, direction_deg: float) -> float:
        key = "bending", direction_deg
        if key not in self._along:
            self._along[key] = self.stiffness.bending_along(direction_deg)
        return self._along[key]

    def fibre_in(self, direction_deg: float) -> float:
        return sum(count * ply.fibre_in(direction_deg) for ply, count in self.runs)

    def strength(self, direction_deg: float, method: str) -> float:
        return sum(count * ply.strength(direction_deg, method) for ply, count in self.runs)


@dataclass(frozen=True)
class Wish:
    """What the part asks: directions loaded (degrees) and targets, each None when it does not matter.

    Thickness in mm and mass in g/m² of the laminate; stretching in N/mm and bending in N·mm per width, in every loaded
    direction; ``reference`` a lay-up whose fibre, stretching, bending and strength must be reached there, strength by
    the one ``strength_method`` (see comparable_strength) or, with None, not at all.
    """

    directions_deg: tuple[int, ...]
    least_thickness_mm: float | None = None
    most_mass_gsm: float | None = None
    least_stretching: float | None = None
    least_bending: float | None = None
    reference: LayUp | None = None
    strength_method: str | None = None

    def __post_init__(self):
        floors = (self.least_thickness_mm, self.least_stretching, self.least_bending)
        if not self.reference and self.most_mass_gsm is None and all(least is None for least in floors):
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


def idle_directions(lay_up: LayUp, directions_deg: Sequence[int]) -> list[int]:
    """Loaded directions (degrees) in which next to none of a lay-up's fibre works, whatever its targets.

    Worked: a unidirectional loaded at 0° and 90° → 90; mat or cloth → none.
    """
    least_gsm = LEAST_WORKING * lay_up.fibre_gsm
    return [angle for angle in directions_deg if lay_up.fibre_in(angle) < least_gsm]


def _short(figure: Callable[[float], float], least: float | None, wish: Wish, what: str) -> list[str]:
    if least is None:
        return []
    worst, angle = min((figure(angle), angle) for angle in wish.directions_deg)
    return [f"{worst:,.0f} {what} at {angle}°, {least:,.0f} asked"] if worst < least else []


def _short_of_reference(lay_up: LayUp, wish: Wish) -> list[str]:
    reference, method = wish.reference, wish.strength_method
    kinds: list[tuple[str, Callable[[LayUp, float], float]]] = [
        ("fibre", LayUp.fibre_in),
        ("stretching", LayUp.stretching),
        ("bending", LayUp.bending),
    ]
    if method in lay_up.strength_methods:
        kinds.append(("strength", lambda one, angle: one.strength(angle, method)))
    found = []
    for name, figure in kinds:
        known = {angle: figure(reference, angle) for angle in wish.directions_deg}
        largest = max(known.values())
        ratios = [(figure(lay_up, a) / value, a) for a, value in known.items() if value > 1e-6 * largest]
        ratio, angle = min(ratios, default=(1.0, 0))
        if ratio < 1 - TOLERANCE:
            found.append(f"{name} at {angle}° only {100 * ratio:.0f} % of the reference")
    if method is not None and method not in lay_up.strength_methods:
        found.append("its strength is not known")
    return found


def comparable_strength(
    candidates: Sequence[LaidPly], reference: Sequence[LaidPly], materials: Materials
) -> str | None:
    """The one strength method by which every candidate is held against the reference, so that none are mixed.

    The standard's where it knows all of them, else the rule's where it knows the reference. Worked: E-glass in
    polyester → ISO 12215-5:2008; with a carbon cloth among the candidates → NR546 for all.
    """
    for_all = strength_method([*candidates, *reference], materials)
    return for_all or (RULE if all(RULE in methods_with_a_figure(ply, materials) for ply in reference) else None)


def prepare(plies: Sequence[LaidPly], materials: Materials) -> LayUp:
    """A lay-up of plies, mould side first, ready to be compared; raises NoProperties, StiffnessError."""
    return LayUp(tuple((PreparedPly(ply, materials), 1) for ply in plies))


def simplest(main: PreparedPly, mat: PreparedPly | None, wish: Wish) -> Answer:
    """The lay-up of fewest plies of ``main`` (between two of ``mat``, if given) that does what is wished.

    Each further ply adds to every figure, so the least number is found by halving. When the 12 plies, or those that the
    mass allows, do not do it, these are the answer, with what they miss; with no target but a mass it is filled up.
    Raises NoProperties, StiffnessError, PropertiesError. Worked: mat 450 for 3 mm → 3 plies, 3.15 mm.
    """
    low, high = 1, _most_plies(main, mat, wish)
    answer = _answer(main, mat, high, wish)
    if not answer.does_it or _only_mass(wish):
        return answer
    while low < high:
        middle = (low + high) // 2
        tried = _answer(main, mat, middle, wish)
        if tried.does_it:
            answer, high = tried, middle
        else:
            low = middle + 1
    return answer


def _answer(main: PreparedPly, mat: PreparedPly | None, count: int, wish: Wish) -> Answer:
    lay_up = LayUp(((main, count),) if mat is None else ((mat, 1), (main, count), (mat, 1)))
    return Answer(lay_up, tuple(misses(lay_up, wish)))


def _most_plies(main: PreparedPly, mat: PreparedPly | None, wish: Wish) -> int:
    """As many as the mass allows, from 1 to 12."""
    if wish.most_mass_gsm is None:
        return MOST_PLIES
    rest = wish.most_mass_gsm - (0 if mat is None else 2 * mat.mass_gsm)
    return max(1, min(MOST_PLIES, floor(rest / main.mass_gsm)))


def _only_mass(wish: Wish) -> bool:
    floors = (wish.least_thickness_mm, wish.least_stretching, wish.least_bending)
    return wish.reference is None and all(least is None for least in floors)


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
