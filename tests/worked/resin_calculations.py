"""The names by which worked examples call the calculations of resins, their dates, their places and their mixing."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from jobs.calc import off_angle, pot_life
from shopstock.calc import ageing, climate, dose, issue_order, mix_ratio, peroxide, units
from shopstock.calc.out_time import Spell
from shopstock.calc.out_time import out_time as out_time_of

RESIN_CALCULATIONS: dict[str, Callable[..., Any]] = {}
START = datetime(2026, 1, 1, tzinfo=UTC)


def calculation(function: Callable) -> Callable:
    RESIN_CALCULATIONS[function.__name__] = function
    return function


def _floats(inputs: dict) -> dict[str, float]:
    return {name: float(value) for name, value in inputs.items()}


def _in_floats(function: Callable) -> Callable:
    return lambda **inputs: function(**_floats(inputs))


RESIN_CALCULATIONS |= {
    function.__name__: _in_floats(function)
    for function in (
        ageing.life_at,
        ageing.activation_energy_kj,
        dose.catalyst_g,
        dose.volume_ml,
        dose.chart_ml,
        dose.dose_by_volume_percent,
        mix_ratio.volume_parts,
        mix_ratio.mass_parts,
        mix_ratio.density_ratio,
        mix_ratio.hardener_error_percent,
    )
}
RESIN_CALCULATIONS["strength_lost_percent"] = off_angle.strength_lost_percent


@calculation
def life_share_used(spells, life_days, stated_at_c):
    """Spells as [days, °C]."""
    return ageing.share_used([(float(d), float(c)) for d, c in spells], float(life_days), float(stated_at_c))


@calculation
def heat_counts_as_days(days, at_c, stated_at_c):
    """How many days at the stated temperature a spell at another one counts for."""
    return float(days) / ageing.life_at(1, float(stated_at_c), float(at_c))


@calculation
def split_mix(mix_g, parts):
    found = mix_ratio.split_mix(float(mix_g), float(parts))
    return [found.resin_g, found.hardener_g]


@calculation
def split_mix_by_ratio(mix_g, resin, hardener):
    """The ratio as resin:hardener by mass, as a label gives it."""
    return split_mix(mix_g, float(hardener) * 100 / float(resin))


@calculation
def check_ratios(parts_by_mass, parts_by_volume, resin_kg_l, hardener_kg_l):
    figures = (parts_by_mass, parts_by_volume, resin_kg_l, hardener_kg_l)
    return mix_ratio.check_ratios(*(float(figure) for figure in figures))


@calculation
def catalyst_ml_for_volume(litres, resin_kg_l, percent, catalyst_kg_l):
    """Catalyst in mL for a volume of resin, by the densities of both."""
    grams = dose.catalyst_g(float(litres) * float(resin_kg_l) * 1000, float(percent))
    return dose.volume_ml(grams, float(catalyst_kg_l))


@calculation
def warns_of_dose(millilitres, density_kg_l, resin_g, asked_percent):
    true = dose.dose_by_volume_percent(float(millilitres), float(density_kg_l), float(resin_g))
    return dose.off_the_dose(true, float(asked_percent))


def _bands(rows) -> list[dose.Band]:
    """Rows as [from °C, below °C, least %, most %]."""
    return [dose.Band(*(float(figure) for figure in row)) for row in rows]


@calculation
def dose_at(bands, at_c):
    return dose.band_at(_bands(bands), float(at_c)).most_percent


@calculation
def check_dose(bands, at_c, percent):
    return dose.check_dose(float(percent), float(at_c), _bands(bands)).most_percent


@calculation
def peroxide_limits(sadt_c):
    found = peroxide.peroxide_limits(float(sadt_c))
    return [found.control_c, found.emergency_c]


def _points(rows) -> list[pot_life.PotLifePoint]:
    """Rows as [°C, minutes] or [°C, minutes, % of catalyst]."""
    return [pot_life.PotLifePoint(*(float(figure) for figure in row)) for row in rows]


@calculation
def pot_life_minutes(points, at_c, percent=None):
    return pot_life.pot_life(_points(points), float(at_c), None if percent is None else float(percent)).minutes


@calculation
def pot_life_of_mass(mass_g, first, second):
    return pot_life.pot_life_of_mass(float(mass_g), tuple(map(float, first)), tuple(map(float, second)))


@calculation
def pots(**inputs):
    found = pot_life.pots(float(inputs.pop("total_g")), **_floats(inputs))
    return {"count": found.count, "each_g": found.each_g}


@calculation
def out_time(hours, limit_h):
    """Spells out of the freezer, each of so many hours; the share used and the hours left."""
    spells, out = [], START
    for spell_h in hours:
        back = out + timedelta(hours=float(spell_h))
        spells.append(Spell(out, back))
        out = back + timedelta(days=1)
    found = out_time_of(spells, float(limit_h), out)
    return {"used_h": found.used_h, "share": found.share, "left_h": found.left_h}


@calculation
def first_expired_first_out(stock, need_g, needed_on):
    """Stock as [code, g, expires on, "open" or "sealed"]; what is taken, as [code, g]."""
    items = [
        issue_order.Stock(code, int(mass_g), date.fromisoformat(day), state == "open", START.date())
        for code, mass_g, day, state in stock
    ]
    need = issue_order.Need(int(need_g), date.fromisoformat(needed_on), "job")
    return [[line.code, line.mass_g] for line in issue_order.issue([need], items).taken]


def _reading(figures) -> climate.Reading:
    temperature_c, humidity = figures
    return climate.Reading(START, float(temperature_c), float(humidity))


@calculation
def has_rested(hours, store, shop):
    """Store and shop as [°C, % humidity]."""
    return climate.rested(float(hours), _reading(store), _reading(shop)).rested


@calculation
def temperature_in_f(temperature_c):
    return units.convert(temperature_c, "°C", "°F")


@calculation
def check_temperature(temperature_c, before_c, hours_before):
    before = climate.Reading(START, float(before_c))
    at = START + timedelta(hours=float(hours_before))
    return climate.check_reading(climate.Reading(at, float(temperature_c)), before)
