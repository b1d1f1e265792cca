"""Figures of laminates with their unit, in the units the shop chose: `{{ sheet.thickness_mm|thick_in:shop.units }}`."""

from decimal import Decimal

from django import template

from shopstock.calc.directional_fibre import angle_words
from shopstock.calc.quantity import rounded
from shopstock.calc.units import US, convert

register = template.Library()

# Exact: pound-force 4.4482216152605 N, inch 25.4 mm.
POUND_FORCE_N = 4.4482216152605
INCH_MM = 25.4


@register.filter
def gsm_in(gsm: float, system: str) -> str:
    return f"{rounded(convert(gsm, 'g/m²', 'oz/yd²'), 1)} oz/yd²" if system == US else f"{gsm:,.0f} g/m²"


@register.filter
def thick_in(thickness_mm: float, system: str) -> str:
    return f"{thickness_mm / INCH_MM:.3f} in" if system == US else f"{thickness_mm:.2f} mm"


@register.filter
def modulus_in(modulus: float, system: str) -> str:
    """From N/mm²."""
    if system == US:
        return f"{modulus * INCH_MM**2 / POUND_FORCE_N / 1000:,.0f} ksi"
    return f"{modulus:,.0f} N/mm²"


@register.filter
def per_width_in(stiffness: float, system: str) -> str:
    """Stretching stiffness or strength per width, from N/mm."""
    return f"{stiffness * INCH_MM / POUND_FORCE_N:,.0f} lbf/in" if system == US else f"{stiffness:,.0f} N/mm"


@register.filter
def bending_in(stiffness: float, system: str) -> str:
    """Bending stiffness per width, from N·mm."""
    return f"{stiffness / POUND_FORCE_N / INCH_MM:,.0f} lbf·in" if system == US else f"{stiffness:,.0f} N·mm"


@register.filter
def percent(share: float) -> str:
    return f"{100 * share:.1f} %"


@register.filter
def per_m2(cost: Decimal | float | None, currency: str) -> str:
    return "no price known" if cost is None else f"{cost:,.2f} {currency}/m²"


@register.filter
def ratio(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}"


@register.filter
def turn(angle_deg: float) -> str:
    return angle_words(angle_deg)
