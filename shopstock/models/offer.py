from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .sold import one_material, size_as_sold

MOST_PACKS = 500


class Offer(models.Model):
    """One way a supplier sells a material: its size, and what one costs from a number of them on."""

    supplier = models.ForeignKey("shopstock.Supplier", models.CASCADE, related_name="offers")
    reinforcement = models.ForeignKey(
        "shopstock.Reinforcement", models.CASCADE, null=True, blank=True, related_name="offers"
    )
    chemical = models.ForeignKey("shopstock.Chemical", models.CASCADE, null=True, blank=True, related_name="offers")
    width_mm = models.PositiveIntegerField("width (mm)", null=True, blank=True)
    length_mm = models.PositiveIntegerField("length of a roll (mm)", null=True, blank=True)
    pack_g = models.PositiveIntegerField("net mass of a pack (g)", null=True, blank=True)
    least_packs = models.PositiveIntegerField(
        "price from (rolls or packs)", default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST_PACKS)]
    )
    price = models.DecimalField(
        "price of one", max_digits=10, decimal_places=2, validators=[MinValueValidator(Decimal("0"))]
    )

    class Meta:
        ordering = ["supplier", "reinforcement", "chemical", "width_mm", "length_mm", "pack_g", "least_packs"]
        constraints = [
            one_material("offer_of_one_material"),
            size_as_sold("offer_has_size"),
            models.CheckConstraint(condition=models.Q(least_packs__gt=0), name="offer_from_one_pack"),
        ]

    def __str__(self) -> str:
        return f"{self.material} of {self.supplier}, from {self.least_packs}"

    @property
    def material(self):
        return self.reinforcement or self.chemical
