from django.conf import settings
from django.db import models


class PlaceRule(models.Model):
    """A rule of the shop's own about what may stand where; it adds to those of the trade and never takes one away."""

    class Severity(models.TextChoices):
        REFUSE = "refuse", "refuse the move"
        WARN = "warn", "warn"

    subject = models.CharField("what", max_length=20)
    beside = models.CharField("must not stand beside, or where", max_length=20)
    severity = models.CharField(max_length=6, choices=Severity, default=Severity.WARN)
    reason = models.CharField(max_length=200)
    source = models.CharField("where it stands", max_length=200, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["subject", "beside"]
        constraints = [models.UniqueConstraint(fields=["subject", "beside"], name="one_rule_of_a_pair")]

    def __str__(self) -> str:
        return f"{self.subject}, {self.beside}: {self.reason}"
