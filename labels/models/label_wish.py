from django.conf import settings
from django.db import models


class LabelWish(models.Model):
    """A label somebody asked for, until it is printed."""

    class Why(models.TextChoices):
        DYING = "dying", "hardly readable any more"
        ASKED = "asked", "asked for"

    code = models.CharField(max_length=10)
    why = models.CharField(max_length=8, choices=Why)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    run = models.ForeignKey("labels.PrintRun", models.SET_NULL, null=True, blank=True, related_name="wishes")
    dropped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at"]
        constraints = [
            models.UniqueConstraint(
                fields=["code"],
                condition=models.Q(run__isnull=True, dropped_at__isnull=True),
                name="one_open_wish_a_code",
            )
        ]

    def __str__(self) -> str:
        return f"label of {self.code}: {self.get_why_display()}"
