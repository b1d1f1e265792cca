"""`{% ratio_cell row.comparison.ratios "fibre" %}`: a kind's ratios along 0°, 90° and ±45°, in a line each."""

from collections.abc import Mapping

from django import template
from django.utils.html import format_html, format_html_join

register = template.Library()
NAMES = ("0°", "90°", "±45°")


@register.simple_tag
def ratio_cell(ratios: Mapping[str, float], kind: str, tolerance: float) -> str:
    slanted = [value for name, value in ratios.items() if name.startswith(kind) and name.endswith("45")]
    values = (ratios.get(f"{kind} 0"), ratios.get(f"{kind} 90"), min(slanted, default=None))
    lines = [(name, _shown(value, tolerance)) for name, value in zip(NAMES, values, strict=True)]
    return format_html_join("", '<span class="ratio-line">{} {}</span>', lines)


def _shown(value: float | None, tolerance: float) -> str:
    if value is None:
        return "–"
    if value < 1 - tolerance:
        return format_html('<strong class="short-ratio">✕ {}</strong>', f"{value:.2f}")
    return f"{value:.2f}"
