from django.conf import settings
from django.db import models


class WatchDecision(models.Model):
    """Somebody saw a warning, or put it off until a day, by name and with a reason. The warning itself stays."""

    class Kind(models.TextChoices):
        SEEN = "seen", "acknowledged"
        PUT_OFF = "put off", "put off"

    warning = models.CharField(max_length=80)
    severity = models.PositiveSmallIntegerField("how urgent it was")
    kind = models.CharField(max_length=8, choices=Kind)
    until = models.DateField("put off until", null=True, blank=True)
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="watch_decisions")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["warning", "at"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind="seen", until__isnull=True) | models.Q(kind="put off", until__isnull=False),
                name="put_off_until_a_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} by {self.by}: {self.reason}"
