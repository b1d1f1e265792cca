from math import ceil

from django.conf import settings
from django.db import models


class PlanRun(models.Model):
    """A search for a better cutting plan, waiting for a worker process, running in one, or over.

    The plan it betters always holds the best found so far; what is asked is kept here as it was asked.
    """

    class State(models.TextChoices):
        WAITING = "waiting", "waiting to start"
        RUNNING = "running", "searching"
        IMPROVED = "improved", "searching; a better plan is found"
        DONE = "done", "searched"
        FAILED = "failed", "search failed"
        CANCELLED = "cancelled", "search cancelled"

    ACTIVE = (State.WAITING, State.RUNNING, State.IMPROVED)
    AT_WORK = (State.RUNNING, State.IMPROVED)

    plan = models.ForeignKey("jobs.CuttingPlan", models.CASCADE, related_name="runs")
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    problems = models.JSONField(help_text="For each reinforcement the problem as it was asked.")
    best = models.JSONField(default=dict, help_text="The planner's best plan so far, by reinforcement.")
    seconds = models.PositiveIntegerField("time to search (s)")
    seed = models.PositiveIntegerField(default=0)
    work_limit = models.PositiveIntegerField("rounds of search at most", null=True, blank=True)

    first_cloth_mm2 = models.BigIntegerField("cloth of the first plan (mm²)")
    cloth_mm2 = models.BigIntegerField("cloth of the best plan so far (mm²)")
    bound_mm2 = models.BigIntegerField("cloth that any plan must use (mm²)", default=0)
    spent_ms = models.PositiveIntegerField("time searched (ms)", default=0)
    times_better = models.PositiveIntegerField(default=0)

    stop_asked = models.BooleanField("good enough was said", default=False)
    worker = models.CharField(max_length=60, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField("why it ended", max_length=300, blank=True)

    class Meta:
        ordering = ["asked_at", "pk"]
        indexes = [models.Index(fields=["state", "asked_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["plan"],
                condition=models.Q(state__in=["waiting", "running", "improved"]),
                name="one_search_a_plan",
            ),
        ]

    def __str__(self) -> str:
        return f"search {self.pk} for {self.plan}"

    @property
    def is_active(self) -> bool:
        return self.state in self.ACTIVE

    @property
    def saved_mm2(self) -> int:
        return self.first_cloth_mm2 - self.cloth_mm2

    @property
    def cloth_m2(self) -> float:
        return self.cloth_mm2 / 1e6

    @property
    def bound_m2(self) -> float:
        return self.bound_mm2 / 1e6

    @property
    def saved_m2(self) -> float:
        return self.saved_mm2 / 1e6

    @property
    def gap_percent(self) -> float | None:
        """How much more than the least that any plan must use, at the very most; None while nothing is proved."""
        return ceil(1000 * (self.cloth_mm2 / self.bound_mm2 - 1)) / 10 if self.bound_mm2 else None

    @property
    def spent_seconds(self) -> float:
        return round(self.spent_ms / 1000, 1)
