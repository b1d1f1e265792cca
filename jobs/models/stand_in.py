from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.calc.stand_in import NEEDS_DESIGNER


class StandIn(models.Model):
    """A decision to lay other plies than specified: what, why, by whom, on which figures and by which methods."""

    class Grade(models.TextChoices):
        A = "A", "A: does the work in every direction"
        B = "B", "B: does the work with plies added"
        C = "C", "C: not equivalent"

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="stand_ins")
    part = models.ForeignKey("jobs.Part", models.SET_NULL, null=True, related_name="stand_ins")
    part_name = models.CharField(max_length=60)
    specified = models.JSONField(help_text="Each ply replaced: number, fabric, direction, fibre share.")
    chosen = models.JSONField(help_text="Each ply laid in their place, mould side first.")
    grade = models.CharField("class", max_length=1, choices=Grade)
    ratios = models.JSONField(help_text="Candidate over specification, by name.")
    other_ratios = models.JSONField()
    reasons = models.JSONField(default=list)
    methods = models.JSONField(help_text="The method behind each kind of figure.")
    tolerance = models.FloatField()
    limit = models.FloatField()
    why = models.CharField("why", max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    designer = models.CharField("designer", max_length=100, blank=True)
    designer_noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    designer_noted_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(designer="") | models.Q(designer_noted_at__isnull=False),
                name="designer_noted_with_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.laid_words} in place of {self.specified_words}"

    def get_absolute_url(self) -> str:
        return reverse("stand-in", args=[self.pk])

    @property
    def asks_designer(self) -> bool:
        return self.grade in NEEDS_DESIGNER

    @property
    def waits_for_designer(self) -> bool:
        return self.asks_designer and not self.designer

    @property
    def specified_words(self) -> str:
        return " / ".join(ply["fabric"] for ply in self.specified)

    @property
    def laid_words(self) -> str:
        return " / ".join(ply["fabric"] for ply in self.chosen)
