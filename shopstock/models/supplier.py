from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse


class Supplier(models.Model):
    name = models.CharField(max_length=80, unique=True)
    lead_time_days = models.PositiveIntegerField("lead time (days)", default=14)
    length_tolerance_percent = models.DecimalField(
        "lengths on its labels are right to ± (%)",
        max_digits=4,
        decimal_places=1,
        default=Decimal("1.0"),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal("20"))],
    )
    currency = models.CharField(max_length=3, blank=True, help_text="Three letters; empty is the currency of the shop.")
    freight = models.DecimalField(
        "freight of a delivery",
        max_digits=10,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(Decimal("0"))],
    )
    email = models.EmailField(blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("supplier", args=[self.pk])
