from django.conf import settings
from django.db import models


class Measurement(models.Model):
    """What was measured on a roll and what came of it. Written with its recount line by `shopstock.ledger` alone."""

    class Method(models.TextChoices):
        TAPE = "tape", "tape on the table"
        WEIGHT = "weight", "weight"
        DIAMETER = "diameter", "diameter"
        SEVERAL = "several", "several ways together"
        TUBE_EMPTY = "tube_empty", "tube empty"
        MISSING = "missing", "not found"

    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="measurements")
    movement = models.OneToOneField(
        "shopstock.Movement", models.PROTECT, null=True, blank=True, related_name="measurement"
    )
    method = models.CharField(max_length=12, choices=Method)
    readings = models.JSONField(default=dict, help_text="What was read, by method, and the length that each gives, mm.")
    length_mm = models.PositiveIntegerField("length taken over (mm)")
    uncertainty_mm = models.FloatField("standard uncertainty (mm)")
    doubt_sources = models.JSONField(default=dict)
    booked_mm = models.PositiveIntegerField("booked before (mm)")
    booked_uncertainty_mm = models.FloatField("standard uncertainty before (mm)")
    booked_doubt_sources = models.JSONField(default=dict)
    cuts_before = models.PositiveIntegerField("cuts since the roll was last measured", default=0)
    drift_mm = models.FloatField("booked less measured (mm)", default=0.0)
    drift_uncertainty_mm = models.FloatField("standard uncertainty of that, cuts left out (mm)", default=0.0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["roll", "at"])]

    def __str__(self) -> str:
        return f"{self.get_method_display()}: {self.length_mm} mm ± {self.uncertainty_mm:.0f} mm"
