from django.conf import settings
from django.db import models
from django.urls import reverse


class PrintRun(models.Model):
    """One PDF of labels: on what it was printed, from which label of the sheet, by whom."""

    medium_name = models.CharField(max_length=80)
    medium = models.ForeignKey("labels.PrintMedium", models.SET_NULL, null=True, blank=True, related_name="runs")
    measures = models.JSONField(help_text="The sheet as it was measured then, mm.")
    first = models.PositiveSmallIntegerField("first label of the sheet")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    spoilt_at = models.DateTimeField("came out wrong", null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"labels of {self.at:%Y-%m-%d %H:%M}"

    def get_absolute_url(self) -> str:
        return reverse("print-run", args=[self.pk])
