from django.conf import settings
from django.db import models


class RecountEntry(models.Model):
    """One roll found in a round: where, and how long. The last look at a roll counts."""

    class How(models.TextChoices):
        LOOKS_RIGHT = "looks_right", "looks right"
        MEASURED = "measured", "measured"

    round = models.ForeignKey("shopstock.RecountRound", models.CASCADE, related_name="entries")
    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="+")
    how = models.CharField(max_length=12, choices=How)
    place = models.ForeignKey("shopstock.Place", models.PROTECT, null=True, blank=True, related_name="+")
    booked_mm = models.PositiveIntegerField("booked when it was counted (mm)")
    length_mm = models.PositiveIntegerField("counted (mm)")
    measured = models.JSONField(default=dict, help_text="Method, readings and doubt of a measured roll.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at"]
        constraints = [models.UniqueConstraint(fields=["round", "roll"], name="roll_counted_once_a_round")]

    def __str__(self) -> str:
        return f"{self.roll} {self.get_how_display()}"
