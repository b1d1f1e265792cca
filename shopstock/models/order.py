import datetime
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

MONEY = {"max_digits": 10, "decimal_places": 2, "validators": [MinValueValidator(Decimal("0"))]}


class Order(models.Model):
    """What is bought of one supplier at once: written, approved by the owner, sent, received in parts."""

    class State(models.TextChoices):
        DRAFT = "draft", "being written"
        APPROVED = "approved", "approved"
        SENT = "sent", "sent"
        RECEIVED = "received", "received"
        CANCELLED = "cancelled", "cancelled"

    supplier = models.ForeignKey("shopstock.Supplier", models.PROTECT, related_name="orders")
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    currency = models.CharField(max_length=3)
    freight = models.DecimalField("freight", default=0, **MONEY)
    duty_percent = models.DecimalField(
        "duty on goods and freight (%)",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("100"))],
    )
    handling = models.DecimalField("handling", default=0, **MONEY)
    expected_on = models.DateField("expected on", null=True, blank=True)
    note = models.TextField("note to the supplier", blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    key = models.CharField(max_length=80, unique=True)
    approved_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    approved_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["state", "expected_on"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["draft", "cancelled"]) | models.Q(approved_by__isnull=False),
                name="order_approved_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"order {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("order", args=[self.pk])

    @property
    def number(self) -> str:
        return f"{self.pk:04d}"

    @property
    def is_on_its_way(self) -> bool:
        """Counts as coming: approved or sent, and not all here yet."""
        return self.state in (self.State.APPROVED, self.State.SENT)

    def days_late(self, on: datetime.date) -> int:
        return max(0, (on - self.expected_on).days) if self.is_on_its_way and self.expected_on else 0
