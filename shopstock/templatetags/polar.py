"""`{% polar_of curves "Fibre by direction, g/m²" %}`: how much there is in each direction, as a drawing with words."""

from collections.abc import Mapping, Sequence

from django import template

from shopstock.calc.polar_picture import ANGLES_DEG, Curve, draw_polar
from shopstock.models import Shop

register = template.Library()
SPOKEN_DEG = (0, 45, 90, 315)


@register.inclusion_tag("shopstock/polar.html")
def polar_of(curves: Sequence[Curve], title: str) -> Mapping:
    clockwise = Shop.current().angle_sense == Shop.AngleSense.CLOCKWISE
    return {"picture": draw_polar(curves, clockwise=clockwise), "title": title, "words": polar_words(curves, title)}


def polar_words(curves: Sequence[Curve], title: str) -> str:
    """The same figures for who cannot see the drawing."""
    said = []
    for curve in curves:
        figures = [f"{_figure(curve.values[ANGLES_DEG.index(angle)])} at {_named(angle)}" for angle in SPOKEN_DEG]
        said.append(f"{curve.name}: {', '.join(figures)}.")
    return f"{title}. {' '.join(said)}"


def _named(angle_deg: int) -> str:
    return {315: "−45°", 45: "+45°"}.get(angle_deg, f"{angle_deg}°")


def _figure(value: float) -> str:
    return f"{value:,.0f}" if value >= 10 else f"{value:.2g}"
