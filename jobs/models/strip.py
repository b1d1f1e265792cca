from django.db import models


class PlannedStrip(models.Model):
    """A full-width length of one roll crossing at one cut; `from_mm` is from the free end when the plan was made."""

    plan = models.ForeignKey("jobs.CuttingPlan", models.CASCADE, related_name="strips")
    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="planned_strips")
    number = models.PositiveSmallIntegerField("order of cutting on its roll")
    from_mm = models.PositiveIntegerField()
    length_mm = models.PositiveIntegerField()
    set_aside = models.OneToOneField(
        "shopstock.SetAside", models.PROTECT, null=True, blank=True, related_name="planned_strip"
    )

    class Meta:
        ordering = ["plan", "roll", "number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "roll", "number"], name="strip_numbered_once"),
        ]

    def __str__(self) -> str:
        return f"strip {self.number} of {self.roll}"
