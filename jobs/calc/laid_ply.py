"""One ply of a lay-up as calculations see it: which fabric, how it lies, and how much of it is fibre.

Angles in degrees, counter-clockwise from the laminate's 0° line; areal weights in g/m²; fractions by mass, 0 to 1.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from jobs.calc.stiffness import checked_angle
from shopstock.calc.directional_fibre import RANDOM, FibreLayer, directional_fibre_gsm

LOWEST_FRACTION, HIGHEST_FRACTION = 0.1, 0.8
# As everywhere in the catalogue: layers may differ from the total by this much.
LAYERS_MAY_DIFFER = 0.03
# Warp and weft of a balanced fabric differ by a few per cent on data sheets.
BALANCE = 0.05

MAT, PAIR, STRAND = "mat", "pair", "strand"


class LaidPlyError(ValueError):
    """A ply that cannot be: its layers, its angle or its fibre fraction."""


@dataclass(frozen=True)
class Fabric:
    """What stiffness and strength need of a reinforcement; ``key`` is whatever the caller knows it by."""

    key: int | str
    name: str
    form: str
    fibre: str
    areal_weight_gsm: float
    layers: tuple[FibreLayer, ...]

    def __post_init__(self):
        total = sum(layer.areal_weight_gsm for layer in self.layers)
        if abs(total - self.areal_weight_gsm) > LAYERS_MAY_DIFFER * self.areal_weight_gsm:
            raise LaidPlyError(
                f"The layers of {self.name} come to {total:g} g/m² and its weight is {self.areal_weight_gsm:g} g/m²: "
                "more than 3 % apart. Put its layers right in the catalogue."
            )


@dataclass(frozen=True)
class Family:
    """Strands of a fabric that belong together: mat, a balanced pair at right angles, or strands one way; weight."""

    kind: str
    areal_weight_gsm: float
    angle_deg: float = 0.0

    def lies_in(self, direction_deg: float) -> bool:
        """Whether its fibres run in a direction, within half a degree."""
        off = abs((direction_deg - self.angle_deg) % (90 if self.kind == PAIR else 180))
        return self.kind == MAT or min(off, (90 if self.kind == PAIR else 180) - off) < 0.5


@dataclass(frozen=True)
class LaidPly:
    """A fabric laid with its warp at ``turn_deg``, ``fraction`` of its mass fibre (0.1–0.8)."""

    fabric: Fabric
    turn_deg: float
    fraction: float

    def __post_init__(self):
        checked_angle(self.turn_deg)
        checked_fraction(self.fraction)

    @cached_property
    def layers(self) -> tuple[FibreLayer, ...]:
        """The fabric's layers as they lie in the laminate, scaled so that they come to its weight."""
        scale = self.fabric.areal_weight_gsm / sum(layer.areal_weight_gsm for layer in self.fabric.layers)
        return tuple(
            FibreLayer(
                layer.areal_weight_gsm * scale,
                RANDOM if layer.angle_deg == RANDOM else layer.angle_deg + self.turn_deg,
            )
            for layer in self.fabric.layers
        )

    def fibre_gsm(self, direction_deg: float) -> float:
        """Fibre (g/m²) that works in a direction (degrees)."""
        return directional_fibre_gsm(self.layers, direction_deg)

    @cached_property
    def families(self) -> tuple[Family, ...]:
        return families(self.layers)


def checked_fraction(fraction: float) -> float:
    """A fibre mass fraction that a laminate can have, 0.1 to 0.8; raises LaidPlyError."""
    if not LOWEST_FRACTION <= fraction <= HIGHEST_FRACTION:
        raise LaidPlyError(
            f"The fibre share by mass of a laminate lies from {LOWEST_FRACTION} to {HIGHEST_FRACTION}, not at "
            f"{fraction:g}. Write 30 % as 0.30."
        )
    return fraction


def families(layers: Sequence[FibreLayer]) -> tuple[Family, ...]:
    """Layers put together: mat, balanced pairs at right angles (within 5 %), and strands of one direction.

    Weights in g/m², angles in degrees. Worked: 300 at 0° and 300 at 90° → one pair of 600; 400 at 0° and 200 at 90° →
    two strands.
    """
    weights: dict[float, float] = {}
    for layer in layers:
        if layer.angle_deg != RANDOM:
            angle = round(layer.angle_deg % 180, 6)
            weights[angle] = weights.get(angle, 0.0) + layer.areal_weight_gsm
    mat = sum(layer.areal_weight_gsm for layer in layers if layer.angle_deg == RANDOM)
    found = [Family(MAT, mat)] if mat else []
    while weights:
        angle, weight = min(weights.items())
        del weights[angle]
        across = weights.get(round((angle + 90) % 180, 6))
        if across is not None and abs(weight - across) <= BALANCE * max(weight, across):
            del weights[round((angle + 90) % 180, 6)]
            found.append(Family(PAIR, weight + across, angle))
        else:
            found.append(Family(STRAND, weight, angle))
    return tuple(found)
