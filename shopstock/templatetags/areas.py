"""`{{ mm2|area_in:shop.units }}` gives "2.50 m²"."""

from django import template

from shopstock.calc.area import format_area

register = template.Library()


@register.filter
def area_in(area_mm2: int, system: str) -> str:
    return format_area(area_mm2, system)
