"""`{% character_of reinforcement shop.units %}`: what a fabric is picked by, drawn and said in a sentence each."""

from collections.abc import Mapping
from dataclasses import dataclass

from django import template

from shopstock.calc.directional_fibre import RANDOM, FibreLayer, directional_fibre_gsm
from shopstock.calc.fabric_character import (
    DRAPE_WORDS,
    FIBRE_CHARACTER,
    FIT_WORDS,
    WEAVE_WORDS,
    binder_words,
    direction_words,
)
from shopstock.calc.polar_picture import ANGLES_DEG, Curve
from shopstock.calc.units import format_areal_weight
from shopstock.models import Reinforcement

register = template.Library()
NEIGHBOURS_A_SIDE = 3
BAR = 200.0


@dataclass(frozen=True)
class Weight:
    """One fabric's weight on the scale: bar length in drawing units."""

    reinforcement: Reinforcement
    words: str
    bar: float
    is_this: bool


@register.inclusion_tag("shopstock/character.html")
def character_of(reinforcement: Reinforcement, system: str) -> Mapping:
    layers = fibre_layers(reinforcement)
    return {
        "reinforcement": reinforcement,
        "weights": weights_beside(reinforcement, system),
        "bar": f"{BAR:.0f}",
        "curves": [fibre_curve(reinforcement.name, layers)] if layers else [],
        "direction": direction_words(layers),
        "weave": WEAVE_WORDS[reinforcement.weave],
        "fibre": FIBRE_CHARACTER[reinforcement.fibre].lines(),
        "drape": DRAPE_WORDS[reinforcement.drape_rating],
        "drape_is_own": reinforcement.drape is not None,
        "drape_scale": [(number, number <= reinforcement.drape_rating) for number in DRAPE_WORDS],
        "binder": binder_words(reinforcement.binder),
        "fits": [
            (name, FIT_WORDS[fit], fit)
            for name, fit in (
                ("Polyester", reinforcement.fits_polyester),
                ("Vinyl ester", reinforcement.fits_vinylester),
                ("Epoxy", reinforcement.fits_epoxy),
            )
        ],
    }


def fibre_layers(reinforcement: Reinforcement) -> list[FibreLayer]:
    return [
        FibreLayer(float(layer.areal_weight_gsm), RANDOM if layer.angle_deg is None else layer.angle_deg)
        for layer in reinforcement.layers.all()
    ]


def fibre_curve(name: str, layers: list[FibreLayer]) -> Curve:
    return Curve(name, tuple(directional_fibre_gsm(layers, angle) for angle in ANGLES_DEG))


def weights_beside(reinforcement: Reinforcement, system: str) -> list[Weight]:
    """This fabric between the three next lighter and the three next heavier ones in use, on one scale."""
    others = Reinforcement.objects.filter(active=True).exclude(pk=reinforcement.pk)
    gsm = reinforcement.areal_weight_gsm
    lighter = others.filter(areal_weight_gsm__lte=gsm).order_by("-areal_weight_gsm", "name")[:NEIGHBOURS_A_SIDE]
    heavier = others.filter(areal_weight_gsm__gt=gsm).order_by("areal_weight_gsm", "name")[:NEIGHBOURS_A_SIDE]
    shown = [*reversed(lighter), reinforcement, *heavier]
    heaviest = max(one.areal_weight_gsm for one in shown)
    return [
        Weight(
            one,
            format_areal_weight(one.areal_weight_gsm, one.form, system),
            round(BAR * float(one.areal_weight_gsm / heaviest), 1),
            one == reinforcement,
        )
        for one in shown
    ]
