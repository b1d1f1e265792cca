"""Numbers with their units, in the units the shop chose: `{{ roll.length_mm|length_in:shop.units }}`."""

from decimal import Decimal

from django import template

from shopstock.calc import units

register = template.Library()


@register.filter
def length_in(length_mm: int | None, system: str) -> str:
    return "" if length_mm is None else units.format_length(length_mm, system)


@register.filter
def width_in(width_mm: int | None, system: str) -> str:
    return "" if width_mm is None else units.format_width(width_mm, system)


@register.filter
def mass_in(mass_g: int | Decimal | None, system: str) -> str:
    return "" if mass_g is None else units.format_mass(mass_g, system)


@register.filter
def temperature_in(temperature_c: Decimal | None, system: str) -> str:
    return "" if temperature_c is None else units.format_temperature(temperature_c, system)


@register.simple_tag
def areal_weight(reinforcement, system: str) -> str:
    return units.format_areal_weight(reinforcement.areal_weight_gsm, reinforcement.form, system)


@register.filter
def money(amount: Decimal | None, currency: str) -> str:
    return "" if amount is None else f"{amount:,.2f} {currency}"
