"""How long a pot of mixed resin stays workable, and into how many pots a mass is split."""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, exp, log

from shopstock.calc.ageing import life_at

FARTHEST_BY_RULE_C = 10


class PotLifeError(ValueError):
    """A pot life that the data sheet does not give for this temperature, dose or mass."""


@dataclass(frozen=True)
class PotLifePoint:
    """One line of a data sheet: minutes at a temperature (°C), with a dose of catalyst in per cent or None."""

    temperature_c: float
    minutes: float
    percent: float | None = None


@dataclass(frozen=True)
class PotLifeFound:
    """Minutes, and whether they are the sheet's own or a rule of thumb."""

    minutes: float
    by_rule: bool = False


@dataclass(frozen=True)
class Pots:
    """How many pots alike, the mass of each in g, and what limits them."""

    count: int
    each_g: float
    most_g: float
    limited_by: str


def pot_life(points: Sequence[PotLifePoint], at_c: float, percent: float | None = None) -> PotLifeFound:
    """Pot life in minutes at a temperature (°C) and dose (per cent), between the points of the data sheet.

    Between points the logarithm of the time runs straight; outside them nothing is guessed. A sheet with one
    temperature alone is carried 10 °C either way by the rule of thumb, and says so. Raises PotLifeError. Source: no
    one factor holds for polyester, so the product's own table counts. Worked: 18 min at 20 °C alone → 15.67 at 22 °C.
    """
    if not points:
        raise PotLifeError("The data sheet’s pot life is not noted. Write it down on the product’s page first.")
    doses = sorted({point.percent for point in points if point.percent is not None})
    if not doses or percent is None:
        return _by_temperature(_longest_first(points, doses), at_c)
    if not doses[0] <= percent <= doses[-1]:
        raise PotLifeError(f"The sheet gives pot life for {_span(doses)} % of catalyst, not for {percent:g} %.")
    around = _around(doses, percent)
    found = [_by_temperature([p for p in points if p.percent == dose], at_c) for dose in around]
    minutes = _between(around, [item.minutes for item in found], percent, log)
    return PotLifeFound(minutes, any(item.by_rule for item in found))


def _longest_first(points: Sequence[PotLifePoint], doses: list[float]) -> Sequence[PotLifePoint]:
    """Without a dose, the shortest pot life counts: that of the most catalyst."""
    return [point for point in points if point.percent == doses[-1]] if doses else points


def _by_temperature(points: Sequence[PotLifePoint], at_c: float) -> PotLifeFound:
    by_c = {point.temperature_c: point.minutes for point in points}
    known = sorted(by_c)
    if len(known) == 1:
        return _by_rule(known[0], by_c[known[0]], at_c)
    if not known[0] <= at_c <= known[-1]:
        raise PotLifeError(f"The sheet gives pot life from {_span(known)} °C, not at {at_c:g} °C.")
    around = _around(known, at_c)
    return PotLifeFound(_between(around, [by_c[c] for c in around], at_c, log))


def _by_rule(known_c: float, minutes: float, at_c: float) -> PotLifeFound:
    if abs(at_c - known_c) > FARTHEST_BY_RULE_C:
        raise PotLifeError(f"The sheet gives pot life at {known_c:g} °C only; {at_c:g} °C is too far from it.")
    return PotLifeFound(life_at(minutes, known_c, at_c), by_rule=at_c != known_c)


def _around(known: Sequence[float], value: float) -> list[float]:
    place = bisect_left(known, value)
    return [known[place]] if known[place] == value else [known[place - 1], known[place]]


def _between(at: Sequence[float], values: Sequence[float], value: float, scale: Callable[[float], float]) -> float:
    if len(at) == 1:
        return values[0]
    share = (value - at[0]) / (at[1] - at[0])
    return exp(scale(values[0]) + share * (scale(values[1]) - scale(values[0])))


def _span(values: Iterable[float]) -> str:
    known = list(values)
    return f"{known[0]:g} to {known[-1]:g}" if known[0] != known[-1] else f"{known[0]:g}"


def pot_life_of_mass(mass_g: float, first: tuple[float, float], second: tuple[float, float]) -> float:
    """Pot life in minutes of a mass (g) between two points of a sheet, each (mass in g, minutes).

    Raises PotLifeError outside the two masses: bigger pots run hotter than any rule says. Source: power law through
    two published points. Worked: 250 g between 100 g 30 min and 500 g 18 min → 22.4 min.
    """
    (light_g, longer), (heavy_g, shorter) = sorted((first, second))
    if not light_g <= mass_g <= heavy_g:
        raise PotLifeError(f"The sheet knows pots of {light_g:g} to {heavy_g:g} g, not of {mass_g:g} g.")
    power = log(longer / shorter) / log(heavy_g / light_g)
    return longer * (mass_g / light_g) ** -power


def pots(total_g: float, *, cap_g: float, laid_g_per_hour: float, use_share: float, minutes: float) -> Pots:
    """Into how many pots alike a mass is split, so that each is laid well inside its pot life.

    Masses in g, rate in g/h, ``use_share`` of the pot life (0–1) in ``minutes``. Raises PotLifeError. Source:
    arithmetic of rate and time with the shop's own cap. Worked: 36 300 g, cap 1 500 g, 20 000 g/h, 0.6 of 15.67 min →
    25 pots of 1 452 g.
    """
    if min(total_g, cap_g, laid_g_per_hour, use_share, minutes) <= 0:
        raise PotLifeError("A pot needs a mass, a cap, a rate of work and a pot life above zero.")
    in_time_g = laid_g_per_hour * use_share * minutes / 60
    most_g = min(cap_g, in_time_g)
    count = max(1, ceil(total_g / most_g - 1e-9))
    return Pots(count, total_g / count, most_g, "the shop’s cap" if cap_g <= in_time_g else "the pot life")
