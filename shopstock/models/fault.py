from django.conf import settings
from django.db import models


class Fault(models.Model):
    """A stretch that must not be used. Positions are from the core end, so cuts at the free end leave them true."""

    class Cause(models.TextChoices):
        FOLD = "fold", "fold"
        CREASE = "crease", "crease"
        CRUSHED = "crushed", "crushed core"
        WET = "wet", "wet"
        OIL = "oil", "oil"
        DUST = "dust", "dust"
        SUN = "sun", "sun"
        SPLICE = "splice", "splice"
        MISSING_YARN = "missing_yarn", "missing yarn"
        OTHER = "other", "other damage"

    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="faults")
    from_mm = models.PositiveIntegerField("from the core end (mm)")
    to_mm = models.PositiveIntegerField("to, from the core end (mm)")
    across_from_mm = models.PositiveIntegerField("from the left edge (mm)", null=True, blank=True)
    across_to_mm = models.PositiveIntegerField("to, from the left edge (mm)", null=True, blank=True)
    cause = models.CharField(max_length=14, choices=Cause)
    note = models.CharField(max_length=200, blank=True)
    photo = models.CharField(max_length=80, blank=True, editable=False)
    found_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    found_at = models.DateTimeField()
    cleared_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    cleared_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-to_mm"]
        constraints = [
            models.CheckConstraint(condition=models.Q(to_mm__gt=models.F("from_mm")), name="fault_has_length"),
            models.CheckConstraint(
                condition=models.Q(across_from_mm__isnull=True, across_to_mm__isnull=True)
                | models.Q(across_to_mm__gt=models.F("across_from_mm")),
                name="fault_has_width_or_crosses_the_roll",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_cause_display()} {self.from_mm}–{self.to_mm} mm from the core end"

    @property
    def across_mm(self) -> tuple[int, int] | None:
        """From and to, from the left edge; None for one that crosses the whole width."""
        return None if self.across_from_mm is None else (self.across_from_mm, self.across_to_mm)
