"""Which plies each pot is for: pots alike, filled in the order in which the plies are laid."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Share:
    """Grams of one pot that are for one ply, by the ply's key."""

    key: int
    mass_g: int


@dataclass(frozen=True)
class Pot:
    """A pot to mix: its mass in g, and what of it is for which ply."""

    mass_g: int
    shares: tuple[Share, ...]


def fill_pots(wanted: Sequence[tuple[int, float]], count: int) -> list[Pot]:
    """Share out the masses (key, g) of plies, in order, over so many pots alike, in whole grams that add up.

    Raises ValueError without a pot. Worked: 100 g and 50 g in two pots → 75 g for the first ply; 25 g and 50 g.
    """
    if count < 1:
        raise ValueError("A mass needs at least one pot.")
    total = sum(mass for _, mass in wanted)
    edges = [round(total * number / count) for number in range(count + 1)]
    bounds = _bounds([mass for _, mass in wanted])
    return [_pot(wanted, bounds, low, high) for low, high in zip(edges, edges[1:], strict=False) if high > low]


def _bounds(masses: Sequence[float]) -> list[int]:
    """Where each ply ends on the scale of grams; the last one at the rounded total."""
    found, so_far = [0], 0.0
    for mass in masses:
        so_far += mass
        found.append(round(so_far))
    return found


def _pot(wanted: Sequence[tuple[int, float]], bounds: Sequence[int], low: int, high: int) -> Pot:
    shares = []
    for (key, _), start, end in zip(wanted, bounds, bounds[1:], strict=False):
        mass_g = min(high, end) - max(low, start)
        if mass_g > 0:
            shares.append(Share(key, mass_g))
    return Pot(high - low, tuple(shares))
