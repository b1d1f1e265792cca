from django.conf import settings
from django.db import models
from django.urls import reverse


class CuttingPlan(models.Model):
    """Which blank of a job comes from which place on which roll, and what is short."""

    class State(models.TextChoices):
        OFFERED = "offered", "offered"
        CONFIRMED = "confirmed", "confirmed"
        REPLACED = "replaced", "replaced by a newer one"
        CANCELLED = "cancelled", "cancelled"

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="plans")
    also = models.ManyToManyField(
        "jobs.Job", related_name="shared_plans", blank=True, help_text="Jobs planned together with this one."
    )
    state = models.CharField(max_length=10, choices=State, default=State.OFFERED)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    confirmed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    materials = models.JSONField(
        default=list, help_text="A row per reinforcement: taken, offcuts, waste, bound, what is short and why."
    )
    stock_seen = models.JSONField(default=dict, help_text="How each roll used stood when the plan was made.")
    wishes = models.JSONField(default=dict, help_text="What was settled by hand: rolls left out, pins, kept strips.")
    alone = models.JSONField(default=dict, help_text="What the same jobs take when planned one by one.")
    revision = models.PositiveIntegerField("times written", default=1)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(state="confirmed"), name="one_confirmed_plan_a_job"
            ),
        ]

    def __str__(self) -> str:
        return f"cutting plan {self.pk} of {self.job}"

    def get_absolute_url(self) -> str:
        return reverse("cutting-plan", args=[self.pk])

    @property
    def is_short(self) -> bool:
        return any(row["short"] for row in self.materials)

    @property
    def is_proved(self) -> bool:
        """Whether no plan whatever could use less cloth, of any of its reinforcements."""
        return bool(self.materials) and all(row.get("proved") and not row["short"] for row in self.materials)
