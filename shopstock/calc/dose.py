"""Catalyst: how many grams and millilitres, and whether the data sheet allows it at this temperature."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

Number: TypeAlias = int | float | Fraction

CHART_ML_PER_KG_AND_PERCENT = 10  # trade charts take 1 mL for 1 g
WARN_PERCENT = 5  # of the dose asked for


class DoseError(ValueError):
    """A dose the data sheet does not allow, or one that cannot be worked out; the message says what to do."""


@dataclass(frozen=True)
class Band:
    """A line of a resin's data sheet: from a temperature (°C, included) to below another, least and most per cent."""

    from_c: float
    below_c: float
    least_percent: float
    most_percent: float


def catalyst_g(resin_g: Number, percent: Number) -> Number:
    """Catalyst in g for resin or gelcoat as supplied in g, filler not counted; raises DoseError below zero.

    Source: per cent by mass. Worked: 1452 g at 1.5 % → 21.78 g.
    """
    if resin_g < 0 or percent < 0:
        raise DoseError("Neither the resin nor the dose can be less than nothing.")
    return resin_g * percent / 100


def volume_ml(mass_g: Number, density_kg_l: Number) -> Number:
    """Volume in mL of a mass (g) by its density (kg/L); raises DoseError. Worked: 21.78 g at 1.15 → 18.94 mL."""
    if density_kg_l <= 0:
        raise DoseError("The density must be above zero: look on the data sheet.")
    return mass_g / density_kg_l


def percent_of(catalyst_mass_g: Number, resin_g: Number) -> Number:
    """The dose in per cent that a mass of catalyst makes in resin, both in g; raises DoseError without resin."""
    if resin_g <= 0:
        raise DoseError("There is no resin to dose.")
    return catalyst_mass_g * 100 / resin_g


def chart_ml(resin_kg: Number, percent: Number) -> Number:
    """What the trade's charts say, in mL for resin in kg: 10 mL a kilogram and per cent. They take 1 mL for 1 g.

    Source: two published charts. Worked: 10 kg at 2 % → 200 mL. Do not dose by it: see `dose_by_volume_percent`.
    """
    return CHART_ML_PER_KG_AND_PERCENT * resin_kg * percent


def dose_by_volume_percent(millilitres: Number, density_kg_l: Number, resin_g: Number) -> Number:
    """The true dose in per cent by mass of a measured volume (mL, density kg/L) in resin (g).

    Source: m = ρ·V. Worked: 20 mL at 1.15 in 1000 g → 2.3 %.
    """
    return percent_of(millilitres * density_kg_l, resin_g)


def off_the_dose(true_percent: Number, asked_percent: Number) -> str:
    """A warning when the true dose is more than 5 % of it away from what was asked, else nothing.

    Worked: 2.3 % where 2 % was asked → 15 % too much.
    """
    away = (true_percent - asked_percent) * 100 / asked_percent
    if abs(away) <= WARN_PERCENT:
        return ""
    which = "much" if away > 0 else "little"
    return f"{abs(float(away)):.0f} % too {which} catalyst: weigh it, or measure by its density."


def band_at(bands: Sequence[Band], at_c: Number) -> Band:
    """The line of the data sheet for a temperature in °C; where two lines touch, the warmer one counts.

    Raises DoseError when the sheet has no line for it. Source: the product's own data sheet. Worked: of 4 % from 5 to
    below 13 and 3 % from 13 to below 16, 13 °C → 3 %.
    """
    for band in bands:
        if band.from_c <= at_c < band.below_c:
            return band
    if not bands:
        raise DoseError("The resin’s dose of catalyst is not noted. Copy it from its data sheet to its page first.")
    coldest, hottest = min(b.from_c for b in bands), max(b.below_c for b in bands)
    raise DoseError(
        f"The data sheet gives no dose at {float(at_c):g} °C: it goes from {float(coldest):g} to below "
        f"{float(hottest):g} °C. Bring the shop to temperature; more catalyst does not make up for cold."
    )


def middle_percent(bands: Sequence[Band], at_c: Number) -> Number | None:
    """The middle (per cent) of what the data sheet allows at a temperature in °C; None where it has no line for it.

    Worked: of 1 to 2.5 % from 15 to below 25 °C, 20 °C → 1.75 %.
    """
    band = next((band for band in bands if band.from_c <= at_c < band.below_c), None)
    return None if band is None else (band.least_percent + band.most_percent) / 2


def check_dose(percent: Number, at_c: Number, bands: Sequence[Band]) -> Band:
    """The data sheet's line when it allows the dose (per cent) at the temperature (°C); raises DoseError otherwise."""
    band = band_at(bands, at_c)
    if not band.least_percent <= percent <= band.most_percent:
        raise DoseError(
            f"{float(percent):g} % is outside the data sheet: at {float(at_c):g} °C it allows "
            f"{float(band.least_percent):g} to {float(band.most_percent):g} %."
        )
    return band
