"""How heat shortens a pot life or a shelf life: a rule of thumb for advice beside a date, never to extend one."""

from collections.abc import Iterable
from math import log

USUAL_FACTOR = 2.0  # times faster for 10 °C more
FACTORS = (1.5, 3.0)
GAS_CONSTANT_J = 8.314462618  # J/(mol·K), exact since 2019
ZERO_C_IN_K = 273.15


class AgeingError(ValueError):
    """A life, share or factor with which nothing can be reckoned."""


def life_at(life: float, stated_at_c: float, at_c: float, factor: float = USUAL_FACTOR) -> float:
    """A life at another temperature, in the unit of ``life``; temperatures in °C, ``factor`` for each 10 °C.

    Raises AgeingError for a life of nothing or less or a factor outside 1.5 to 3. Source: rule of thumb of the trade,
    life halves for 10 °C more. Worked: 30 min at 25 °C → 60 at 15 °C, 15 at 35 °C; 180 days at 25 °C → 90 at 35 °C.
    """
    if life <= 0 or not FACTORS[0] <= factor <= FACTORS[1]:
        raise AgeingError("A life must be above zero, and heat makes it 1.5 to 3 times shorter for each 10 °C.")
    return life * factor ** ((stated_at_c - at_c) / 10)


def share_used(spells: Iterable[tuple[float, float]], life: float, stated_at_c: float, factor: float = USUAL_FACTOR):
    """The share (0–1 and above) of a life that spells of (duration, temperature in °C) have used up.

    Durations in the unit of ``life``. Raises AgeingError. Source: as `life_at`, summed. Worked: 60 days at 20 °C and 30
    days at 30 °C of 180 days at 20 °C → 0.6667.
    """
    used = 0.0
    for duration, at_c in spells:
        if duration < 0:
            raise AgeingError("A spell cannot last less than nothing.")
        used += duration / life_at(life, stated_at_c, at_c, factor)
    return used


def activation_energy_kj(factor: float, from_c: float, to_c: float) -> float:
    """The activation energy, kJ/mol, of what goes ``factor`` times faster at ``to_c`` than at ``from_c`` (°C).

    Raises AgeingError for temperatures that do not rise. Source: Arrhenius equation. Worked: 2, 25, 35 → 52.949.
    """
    if not -ZERO_C_IN_K < from_c < to_c or factor <= 0:
        raise AgeingError("The second temperature must be above the first.")
    kelvins = 1 / (from_c + ZERO_C_IN_K) - 1 / (to_c + ZERO_C_IN_K)
    return GAS_CONSTANT_J * log(factor) / kelvins / 1000
