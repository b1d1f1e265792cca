"""`{% swatch_of reinforcement %}`: the small picture by which a fabric is known, on lists and pages."""

from collections.abc import Mapping

from django import template
from django.template.loader import render_to_string

from shopstock.calc.swatch import SIZE, draw_swatch
from shopstock.models import Reinforcement

register = template.Library()


@register.inclusion_tag("shopstock/swatch.html")
def swatch_of(reinforcement: Reinforcement) -> Mapping:
    return swatch(reinforcement)


def swatch(reinforcement: Reinforcement) -> dict:
    """What the template draws; load `layers` beforehand where many are drawn."""
    layers = list(reinforcement.layers.all())
    angles = ", ".join("random" if layer.angle_deg is None else f"{layer.angle_deg}°" for layer in layers)
    weave = "" if reinforcement.weave == "none" else f"{reinforcement.get_weave_display()} "
    return {
        "picture": draw_swatch(reinforcement.form, reinforcement.weave, [layer.angle_deg for layer in layers]),
        "size": f"{SIZE:.0f}",
        "fibre": reinforcement.fibre,
        "words": f"{weave}{reinforcement.get_form_display()}, {reinforcement.get_fibre_display()}, {angles}",
    }


def swatch_html(reinforcement: Reinforcement) -> str:
    """The same picture for a table's cell."""
    return render_to_string("shopstock/swatch.html", swatch(reinforcement))
