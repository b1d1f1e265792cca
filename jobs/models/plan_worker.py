from django.db import models


class PlanWorker(models.Model):
    """A process that searches for plans, and when it was last heard of."""

    name = models.CharField(max_length=60, unique=True)
    seen_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
