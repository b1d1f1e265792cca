from django.conf import settings
from django.db import models
from django.urls import reverse


class RecountRound(models.Model):
    """A walk along the racks in which every roll is counted; several people may count in it, and it may rest."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        CLOSED = "closed", "closed"
        DROPPED = "dropped", "dropped"

    state = models.CharField(max_length=8, choices=State, default=State.OPEN)
    tolerance_percent = models.DecimalField("off by more than (%)", max_digits=4, decimal_places=1)
    tolerance_mm = models.PositiveIntegerField("and by more than (mm)")
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(fields=["state"], condition=models.Q(state="open"), name="one_open_round"),
        ]

    def __str__(self) -> str:
        return f"recount of {self.started_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("recount-round", args=[self.pk])
