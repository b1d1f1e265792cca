"""Writes to the catalogue that several features share."""

from collections.abc import Sequence

from django.db import transaction

from shopstock.calc.layers import LayerWeight
from shopstock.models import Layer, Reinforcement


@transaction.atomic
def save_reinforcement(reinforcement: Reinforcement, layers: Sequence[LayerWeight]) -> Reinforcement:
    """Save a catalogue line with its layers; the layers it had are replaced."""
    reinforcement.save()
    reinforcement.layers.all().delete()
    Layer.objects.bulk_create(
        Layer(
            reinforcement=reinforcement,
            number=number,
            angle_deg=layer.angle_deg,
            areal_weight_gsm=layer.areal_weight_gsm,
        )
        for number, layer in enumerate(layers, start=1)
    )
    return reinforcement
