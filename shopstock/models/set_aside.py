from django.conf import settings
from django.db import models


class SetAside(models.Model):
    """A length of one roll promised to something; it is closed by the cut that takes it or given back."""

    class State(models.TextChoices):
        OPEN = "open", "set aside"
        CUT = "cut", "cut"
        GIVEN_BACK = "given_back", "given back"

    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="set_asides")
    number = models.PositiveIntegerField("order of cutting on its roll")
    length_mm = models.PositiveIntegerField()
    purpose = models.CharField(max_length=120)
    offcuts = models.JSONField(default=list, help_text="Pieces worth keeping from it: width_mm and length_mm of each.")
    taken_across = models.JSONField(
        default=list, help_text="[from, to] in mm from the left edge that its pieces take; none for the whole width."
    )
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["roll", "number"]
        constraints = [
            models.CheckConstraint(condition=models.Q(length_mm__gt=0), name="set_aside_has_length"),
        ]
        indexes = [models.Index(fields=["roll", "state", "number"])]

    def __str__(self) -> str:
        return f"{self.length_mm} mm for {self.purpose}"
