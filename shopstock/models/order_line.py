from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from .offer import MOST_PACKS
from .sold import one_material, size_as_sold


class OrderLine(models.Model):
    """So many rolls or packs of one size of one material, and why."""

    order = models.ForeignKey("shopstock.Order", models.CASCADE, related_name="lines")
    reinforcement = models.ForeignKey(
        "shopstock.Reinforcement", models.PROTECT, null=True, blank=True, related_name="order_lines"
    )
    chemical = models.ForeignKey(
        "shopstock.Chemical", models.PROTECT, null=True, blank=True, related_name="order_lines"
    )
    width_mm = models.PositiveIntegerField("width (mm)", null=True, blank=True)
    length_mm = models.PositiveIntegerField("length of a roll (mm)", null=True, blank=True)
    pack_g = models.PositiveIntegerField("net mass of a pack (g)", null=True, blank=True)
    packs = models.PositiveIntegerField("how many", validators=[MinValueValidator(1), MaxValueValidator(MOST_PACKS)])
    price = models.DecimalField(
        "price of one",
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0"))],
    )
    reason = models.CharField("what for", max_length=300)
    needed_on = models.DateField("first day it is needed", null=True, blank=True)
    closed = models.BooleanField("no more to come", default=False)

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            one_material("order_line_of_one_material"),
            size_as_sold("order_line_has_size"),
            models.CheckConstraint(condition=models.Q(packs__gt=0), name="order_line_orders_something"),
        ]

    def __str__(self) -> str:
        return f"{self.packs} × {self.material}"

    @property
    def material(self):
        return self.reinforcement or self.chemical

    @property
    def days_too_late(self) -> int:
        """How long after the first day it is needed its order is expected."""
        if self.needed_on is None or self.order.expected_on is None:
            return 0
        return max(0, (self.order.expected_on - self.needed_on).days)

    @property
    def cost(self) -> Decimal | None:
        return None if self.price is None else self.price * self.packs
