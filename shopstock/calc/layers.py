"""The layers of a reinforcement by angle: read from text, written back, and what they say about turning a piece."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shopstock.calc.areal_weight import check_layers
from shopstock.calc.forms import (
    CHOPPED_STRAND_MAT,
    CLOTH,
    COMBINATION_MAT,
    CORE,
    STITCHED_MULTIAXIAL,
    TAPE,
    UNIDIRECTIONAL,
    VEIL,
    WOVEN_ROVING,
    form_of,
)
from shopstock.calc.quantity import AREAL_WEIGHT, UNITS, Quantity, UnitError, read_quantity, rounded

NEVER, BALANCED, ANY = "never", "balanced", "any"

EXAMPLE = "300 @ 0, 300 @ 90"
MOST_LAYERS = 12

# Warp and weft of a "balanced" fabric differ by a few per cent on data sheets.
_BALANCE_PERCENT = Decimal(5)
_RANDOM = (CHOPPED_STRAND_MAT, VEIL, CORE)
_HALF_AND_HALF = (CLOTH, WOVEN_ROVING, TAPE)
_LAYER = re.compile(
    r"\s*(?P<weight>[^@;\n]*?)\s*(?:@\s*(?P<sign>[-+−–±]?)\s*(?P<angle>\d{1,3})(?:\s*(?:°|deg\b))?|(?P<random>\brandom\b))"
    r"\s*(?:[,;\n]|$)",
    re.IGNORECASE,
)


class LayerError(ValueError):
    """Layers that cannot be read or that are missing; the message says how to write them."""


@dataclass(frozen=True)
class LayerWeight:
    """One direction: angle in degrees from the warp (None: random, as in mat) and its areal weight in g/m²."""

    angle_deg: int | None
    areal_weight_gsm: Decimal

    def __str__(self) -> str:
        weight = f"{self.areal_weight_gsm.normalize():f}"
        if self.angle_deg is None:
            return f"{weight} random"
        return f"{weight} @ {self.angle_deg:+d}" if self.angle_deg % 90 else f"{weight} @ {self.angle_deg}"


def read_layers(text: str, form: str, total_gsm: Decimal) -> tuple[LayerWeight, ...]:
    """The layers typed as text, or the usual ones of ``form`` when the text is empty; they must come to ``total_gsm``.

    ``total_gsm`` in g/m²; a weight without a unit is in g/m², "oz" is oz/ft² for a random layer and oz/yd² for the
    rest. Raises LayerError, UnitError, LayersDoNotAddUp. Worked: "300 @ 0, 300 @ 90", total 600 → 300 at 0°, 300 at
    90°; "400 @ ±45" → 200 at +45°, 200 at −45°.
    """
    layers = _parse(text) if text.strip() else usual_layers(form, total_gsm)
    check_layers(total_gsm, [layer.areal_weight_gsm for layer in layers])
    return layers


def write_layers(layers: Sequence[LayerWeight]) -> str:
    """The layers as text that ``read_layers`` reads back. Worked: 300 at 0° and 300 at 90° → "300 @ 0, 300 @ 90"."""
    return ", ".join(str(layer) for layer in layers)


def usual_layers(form: str, total_gsm: Decimal) -> tuple[LayerWeight, ...]:
    """What the layers of a form are when nobody says otherwise, in g/m² for a total in g/m².

    Mat, veil and core are random, cloth, woven roving and tape half along and half across, unidirectional all along.
    Raises LayerError for forms that need their layers. Source: common practice. Worked: cloth of 200 → 100 at 0°, 100
    at 90°.
    """
    shape = form_of(form)
    if form in _RANDOM:
        return (LayerWeight(None, total_gsm),)
    if form == UNIDIRECTIONAL:
        return (LayerWeight(0, total_gsm),)
    if form in _HALF_AND_HALF:
        half = rounded(total_gsm / 2, 2)
        return (LayerWeight(0, half), LayerWeight(90, total_gsm - half))
    examples = {COMBINATION_MAT: "600 @ 0, 300 random", STITCHED_MULTIAXIAL: "300 @ +45, 300 @ -45"}
    raise LayerError(
        f"The layers of a {shape.name} differ by maker: type them from the data sheet, such as {examples[form]}."
    )


def turning_allowed(layers: Sequence[LayerWeight]) -> str:
    """How freely a piece may be turned and stay the same laminate: ANY for mat, BALANCED, or NEVER.

    Balanced means that every direction has its equal, within 5 %, a quarter turn on. Source: TM 1-1500-204-23-11 for
    balanced weaves; mat, common practice. Worked: 300 @ 0, 300 @ 90 → balanced; 400 @ 0 → never; 450 random → any.
    """
    weights = _weight_by_angle(layers)
    if not weights:
        return ANY
    alike = all(
        _about_equal(weight, weights.get(_in_range(angle + 90), Decimal(0))) for angle, weight in weights.items()
    )
    return BALANCED if alike else NEVER


def turnings_to_choose(layers: Sequence[LayerWeight]) -> tuple[str, ...]:
    """The turnings that these layers allow, strictest first. Worked: 400 @ 0 → only never."""
    order = (NEVER, BALANCED, ANY)
    return order[: order.index(turning_allowed(layers)) + 1]


def _weight_by_angle(layers: Sequence[LayerWeight]) -> dict[int, Decimal]:
    weights: dict[int, Decimal] = {}
    for layer in layers:
        if layer.angle_deg is not None:
            weights[layer.angle_deg] = weights.get(layer.angle_deg, Decimal(0)) + layer.areal_weight_gsm
    return weights


def _about_equal(one: Decimal, other: Decimal) -> bool:
    return abs(one - other) <= max(one, other) * _BALANCE_PERCENT / 100


def _in_range(angle_deg: int) -> int:
    """The same direction as an angle above −90° and up to 90°."""
    turned = angle_deg % 180
    return turned - 180 if turned > 90 else turned


def _parse(text: str) -> tuple[LayerWeight, ...]:
    layers: list[LayerWeight] = []
    place = 0
    while place < len(text.rstrip()):
        match = _LAYER.match(text, place)
        if not match or not match["weight"].strip():
            raise LayerError(f"“{text[place:].strip()[:40]}” is no layer. Write weight @ angle, such as {EXAMPLE}.")
        layers += _layers_of(match)
        place = match.end()
    if len(layers) > MOST_LAYERS:
        raise LayerError(f"{len(layers)} layers are more than any fabric has. Write each layer once.")
    return tuple(layers)


def _layers_of(match: re.Match) -> list[LayerWeight]:
    weight_gsm = _weight(match["weight"], random=bool(match["random"]))
    if match["random"]:
        return [LayerWeight(None, weight_gsm)]
    angle = int(match["angle"])
    if angle > 180:
        raise LayerError(f"{angle}° is no direction of a fabric. Count from the warp: -90 to 90.")
    if match["sign"] == "±":
        half = rounded(weight_gsm / 2, 2)
        return [LayerWeight(_in_range(angle), half), LayerWeight(_in_range(-angle), weight_gsm - half)]
    return [LayerWeight(_in_range(-angle if match["sign"] in ("-", "−", "–") else angle), weight_gsm)]


def _weight(text: str, *, random: bool) -> Decimal:
    quantity = read_quantity(text, AREAL_WEIGHT)
    unit = quantity.unit or UNITS["g/m²"]
    if unit.symbol == "oz":
        unit = UNITS["oz/ft²" if random else "oz/yd²"]
    if unit.kind != AREAL_WEIGHT:
        raise UnitError(f"{unit.symbol} is not a weight per area. Write layers in g/m² or oz/yd², such as {EXAMPLE}.")
    if quantity.number <= 0:
        raise LayerError(f"A layer weighs more than nothing: “{text}”.")
    return rounded(Fraction(Quantity(quantity.number, unit).in_unit("g/m²")), 2)
