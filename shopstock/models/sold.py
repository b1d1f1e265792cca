"""Constraints that everything sold shares: it is cloth with a width and a length, or a product with a mass."""

from django.db import models
from django.db.models import Q


def one_material(name: str) -> models.CheckConstraint:
    cloth = Q(reinforcement__isnull=False, chemical__isnull=True)
    product = Q(reinforcement__isnull=True, chemical__isnull=False)
    return models.CheckConstraint(condition=cloth | product, name=name)


def size_as_sold(name: str) -> models.CheckConstraint:
    cloth = Q(reinforcement__isnull=False, width_mm__gt=0, length_mm__gt=0)
    product = Q(chemical__isnull=False, pack_g__gt=0)
    return models.CheckConstraint(condition=cloth | product, name=name)
