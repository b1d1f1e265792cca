"""What a fabric is good and bad at, in a sentence a newcomer at the counter understands.

All of it is common practice of the trade, without a source that measures it; drape is a rating that a shop may replace
by its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from shopstock.calc.directional_fibre import RANDOM, FibreLayer, angle_words
from shopstock.calc.forms import (
    ARAMID,
    BASALT,
    BASKET,
    CARBON,
    CHOPPED_STRAND_MAT,
    CLOTH,
    COMBINATION_MAT,
    E_GLASS,
    FLAX,
    NO_WEAVE,
    PLAIN,
    POLYETHYLENE,
    S_GLASS,
    SATIN,
    STITCHED_MULTIAXIAL,
    TAPE,
    TWILL,
    VEIL,
    WOVEN_ROVING,
)

DRAPE_WORDS = {
    1: "1: lies flat only; folds at the first curve",
    2: "2: takes a bend one way",
    3: "3: takes a gentle double curve with help",
    4: "4: takes a double curve",
    5: "5: takes nearly any shape",
}

# Two-axis fabrics lighter than this still give way in shear; heavier ones are stiff like woven roving. A shop's figure.
HEAVY_GSM = 450


@dataclass(frozen=True)
class FibreCharacter:
    """Five things to know of a fibre, each a few words."""

    stiffness: str
    impact: str
    cost: str
    sunlight: str
    folding: str

    def lines(self) -> list[tuple[str, str]]:
        return [
            ("Stiffness", self.stiffness),
            ("Impact and wear", self.impact),
            ("Cost", self.cost),
            ("Sunlight", self.sunlight),
            ("Folding", self.folding),
        ]


FIBRE_CHARACTER: dict[str, FibreCharacter] = {
    E_GLASS: FibreCharacter(
        "gives more than carbon under the same load",
        "takes knocks well; stretches before it breaks",
        "the cheapest",
        "unharmed; the resin ages first",
        "a fold breaks strands for good: keep it rolled",
    ),
    S_GLASS: FibreCharacter(
        "somewhat stiffer than E-glass",
        "better than E-glass",
        "several times E-glass",
        "unharmed; the resin ages first",
        "a fold breaks strands for good: keep it rolled",
    ),
    CARBON: FibreCharacter(
        "the stiffest for its weight",
        "brittle: a knock can break it without warning",
        "dear",
        "unharmed; dark laminates get hot in the sun",
        "the worst: a fold cuts the stiff strands",
    ),
    ARAMID: FibreCharacter(
        "between glass and carbon in pull, weak in compression",
        "the best against knocks and wear; fuzzy to sand",
        "dear",
        "turns brown and loses strength: cover it, on the rack too",
        "bears a fold better than glass; creases stay weak in compression",
    ),
    BASALT: FibreCharacter(
        "a little stiffer than E-glass",
        "like E-glass",
        "dearer than E-glass",
        "unharmed",
        "a fold breaks strands: keep it rolled",
    ),
    FLAX: FibreCharacter(
        "light and fairly stiff; varies from lot to lot",
        "fair; damps vibration",
        "dearer than E-glass",
        "fades; drinks water, so keep it dry and seal cut edges",
        "bears a fold, but a crease shows",
    ),
    POLYETHYLENE: FibreCharacter(
        "stiff in pull, creeps under steady load, weak in compression",
        "very good against knocks and wear",
        "dear",
        "loses strength slowly; keep heat below about 80 °C",
        "bears a fold",
    ),
}
# Fibres that one would take where a part wears or is knocked.
GOOD_IN_IMPACT = frozenset({ARAMID, POLYETHYLENE, S_GLASS, E_GLASS, BASALT})

WEAVE_WORDS = {
    PLAIN: "Every yarn goes over one and under one: the most stable weave, the least willing to drape, the most crimp.",
    TWILL: "Yarns go over two and under two, a step on in each row: drapes and wets out better than plain.",
    SATIN: "Yarns float over several before going under: the flattest, drapes best, frays and shifts most.",
    BASKET: "Yarns go in pairs, over and under: flatter than plain, a little looser.",
    NO_WEAVE: "Not woven: the strands are straight, without crimp.",
}


def usual_drape(form: str, weave: str, areal_weight_gsm: float) -> int:
    """Drape from 1 (flat only) to 5 (nearly any shape) that is usual for a form, weave and weight (g/m²).

    Source: common practice, a coarse order. Worked: mat → 5; twill cloth → 4; woven roving → 2; unidirectional → 1.
    """
    if form in (CHOPPED_STRAND_MAT, VEIL):
        return 5
    if form in (CLOTH, TAPE):
        return 4 if weave in (TWILL, SATIN) else 3
    if form == STITCHED_MULTIAXIAL:
        return 3 if areal_weight_gsm <= HEAVY_GSM else 2
    if form in (WOVEN_ROVING, COMBINATION_MAT):
        return 2
    return 1


def direction_words(layers: Sequence[FibreLayer]) -> str:
    """One sentence on where the strands run; weights in g/m², angles in degrees.

    Worked: 300 at 0° and 300 at 90° → half along the roll, half across.
    """
    if not layers:
        return "Where its strands run is not given."
    total = sum(layer.areal_weight_gsm for layer in layers)
    shares = _shares(layers, total)
    if set(shares) == {RANDOM}:
        return "Strands lie every way: the same in all directions, three eighths of the weight working in each."
    if set(shares) == {0}:
        return "All strands run along the roll: it carries that way and next to nothing across."
    parts = ", ".join(f"{100 * share:.0f} % {_place(angle)}" for angle, share in shares.items())
    return f"{parts[0].upper()}{parts[1:]}. {_weak_spot(shares)}"


def _shares(layers: Sequence[FibreLayer], total_gsm: float) -> dict:
    shares: dict = {}
    for layer in layers:
        shares[layer.angle_deg] = shares.get(layer.angle_deg, 0.0) + layer.areal_weight_gsm / total_gsm
    return shares


def _place(angle) -> str:
    if angle == RANDOM:
        return "every way"
    named = {0: "along the roll", 90: "across it"}
    return named.get(angle, f"at {angle_words(angle)}")


def _weak_spot(shares: dict) -> str:
    angles = {angle for angle in shares if angle != RANDOM}
    if angles == {0, 90}:
        return "It carries along and across; a pull at 45° finds only half as much."
    if angles == {45, -45}:
        return "It carries at ±45° and in shear; a pull along or across finds only half as much."
    return "See the drawing for what works in each direction."


def binder_words(binder: str) -> str:
    """One sentence on a binder named as in the catalogue. Worked: emulsion → dissolves in styrene."""
    return {
        "none": "No binder: the weave or the winding holds it.",
        "powder": "A powder holds the strands; it softens in styrene. Some suppliers allow epoxy, some do not: ask.",
        "emulsion": "A glue holds the strands and dissolves in styrene, so the mat goes soft with polyester and vinyl "
        "ester. Epoxy leaves it stiff.",
        "stitched": "A thread holds the layers; it goes with any of the three resins unless mat is glued on.",
    }.get(binder, "")


FIT_WORDS = {
    "fits": "goes together",
    "ask": "not known: ask the supplier",
    "not": "does not go together",
}
