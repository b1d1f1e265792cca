"""`{% outlook_of found %}`: stock over time as one drawing with the same in words."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from django import template

from shopstock.calc.outlook_picture import NARROW, WIDE, draw_outlook
from shopstock.calc.units import US, format_length, format_mass
from shopstock.models import Shop
from shopstock.outlooks import MaterialOutlook

register = template.Library()
UNITS = {  # (cloth, US): how many mm or g one is, and its name
    (True, False): (1_000, "m"),
    (True, True): (914, "yd"),
    (False, False): (1_000, "kg"),
    (False, True): (454, "lb"),
}


@register.inclusion_tag("shopstock/outlook.html")
def outlook_of(found: MaterialOutlook) -> Mapping:
    shop = Shop.current()
    unit, name = UNITS[found.is_cloth, shop.units == US]
    order_by = found.failing and found.failing.order_by and found.failing.order_by.day
    stops = found.failing.jobs[0] if found.failing else ""
    drawn = {"unit": unit, "unit_name": name, "order_by": order_by, "stops": stops, "minimum": found.minimum}
    pictures = [
        (size, draw_outlook(found.found, width=width, **drawn)) for size, width in (("wide", WIDE), ("narrow", NARROW))
    ]
    return {"pictures": pictures, "words": _words(found, shop)}


def _words(found: MaterialOutlook, shop: Shop) -> str:
    shown = format_length if found.is_cloth else format_mass
    first, last = found.found.points[0], found.found.points[-1]
    words = f"Stock over time: {shown(first.left, shop.units)} today, {shown(last.left, shop.units)} on {last.on}"
    short, below = found.found.first_short, found.first_below
    words += f", short from {short.on} on" if short else ", never short"
    words += f", below the minimum of {shown(found.minimum, shop.units)} from {below.on} on" if below else ""
    return f"{words}."


@register.filter
def fraction(value: Fraction) -> Decimal:
    """Exact money as a Decimal to show."""
    return Decimal(value.numerator) / value.denominator


@register.filter
def whole(value: float) -> int:
    return round(value)


@register.filter
def amount(value: int, found: MaterialOutlook) -> str:
    """A length or a mass, whichever the material is counted in."""
    shown = format_length if found.is_cloth else format_mass
    return shown(value, Shop.current().units)
