from django.db import models


class PlannedBlank(models.Model):
    """One flat piece inside a strip; the corner is from the left edge of the roll and the strip's start."""

    strip = models.ForeignKey("jobs.PlannedStrip", models.CASCADE, related_name="blanks")
    ply = models.ForeignKey("jobs.Ply", models.PROTECT, related_name="blanks")
    name = models.CharField(max_length=120)
    x_mm = models.PositiveIntegerField()
    y_mm = models.PositiveIntegerField()
    across_mm = models.PositiveIntegerField()
    along_mm = models.PositiveIntegerField()
    turned = models.BooleanField(default=False)
    outline = models.JSONField(
        default=list, help_text="Corners in mm from the blank's own corner, along and across; none for a rectangle."
    )

    class Meta:
        ordering = ["strip", "y_mm", "x_mm"]

    def __str__(self) -> str:
        return self.name
