from decimal import Decimal

from django.conf import settings
from django.db import models

from .order import MONEY


class Delivery(models.Model):
    """What came of an order on one day, with what its way here cost."""

    order = models.ForeignKey("shopstock.Order", models.PROTECT, related_name="deliveries")
    received_on = models.DateField()
    paper = models.CharField("number of the delivery note", max_length=40, blank=True)
    freight = models.DecimalField(default=0, **MONEY)
    duty_percent = models.DecimalField(max_digits=5, decimal_places=2, default=0)
    handling = models.DecimalField(default=0, **MONEY)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    key = models.CharField(max_length=80, unique=True)

    class Meta:
        ordering = ["received_on", "pk"]
        verbose_name_plural = "deliveries"

    def __str__(self) -> str:
        return f"delivery of {self.received_on} for {self.order}"


class DeliveredItem(models.Model):
    """One roll or container of a delivery: which line it fills, and its share of what the delivery cost."""

    delivery = models.ForeignKey("shopstock.Delivery", models.PROTECT, related_name="items")
    line = models.ForeignKey("shopstock.OrderLine", models.PROTECT, related_name="delivered")
    roll = models.OneToOneField("shopstock.Roll", models.PROTECT, null=True, blank=True, related_name="delivered")
    container = models.OneToOneField(
        "shopstock.Container", models.PROTECT, null=True, blank=True, related_name="delivered"
    )
    price = models.DecimalField("price invoiced", **MONEY)
    freight = models.DecimalField(default=0, **MONEY)
    duty = models.DecimalField(default=0, **MONEY)
    handling = models.DecimalField(default=0, **MONEY)

    class Meta:
        ordering = ["delivery", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(roll__isnull=False, container__isnull=True)
                | models.Q(roll__isnull=True, container__isnull=False),
                name="delivered_roll_or_container",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} for {self.line}"

    @property
    def item(self):
        return self.roll or self.container

    @property
    def landed(self) -> Decimal:
        """What it costs on the rack."""
        return self.price + self.freight + self.duty + self.handling
