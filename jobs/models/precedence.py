from django.conf import settings
from django.db import models


class Precedence(models.Model):
    """A named decision that one job gets cloth before another, although it is to be cut later."""

    first = models.ForeignKey("jobs.Job", models.CASCADE, related_name="goes_before")
    then = models.ForeignKey("jobs.Job", models.CASCADE, related_name="waits_for")
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    taken_back_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(first=models.F("then")), name="job_never_before_itself"),
            models.UniqueConstraint(
                fields=["first", "then"],
                condition=models.Q(taken_back_at__isnull=True),
                name="precedence_decided_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} before {self.then}"
