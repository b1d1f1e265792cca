"""Areas and money of plans, in the units the shop chose: `{{ row.needed_m2|area_in:shop.units }}`."""

from decimal import Decimal

from django import template

from shopstock.calc.quantity import rounded
from shopstock.calc.units import US, convert

register = template.Library()


@register.filter
def area_in(area_m2: float | Decimal | None, system: str) -> str:
    if area_m2 is None:
        return ""
    unit = "ft²" if system == US else "m²"
    return f"{rounded(convert(area_m2, 'm²', unit), 2 if unit == 'm²' else 1)} {unit}"


@register.filter
def mass_of(mass_g: float, system: str) -> str:
    """A worked-out mass, not finer than it can be weighed: 0.01 kg, or 0.01 lb."""
    unit = "lb" if system == US else "kg"
    return f"{rounded(convert(mass_g, 'g', unit), 2)} {unit}"


@register.filter
def money_text(amount: str | None, currency: str) -> str:
    return "" if amount is None else f"{Decimal(amount):,.2f} {currency}"
