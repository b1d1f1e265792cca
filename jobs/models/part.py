from django.core.validators import MinValueValidator
from django.db import models


class Part(models.Model):
    """One thing moulded in a job, made `count` times."""

    job = models.ForeignKey("jobs.Job", models.CASCADE, related_name="parts")
    name = models.CharField(max_length=60)
    count = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="part_named_once"),
            models.CheckConstraint(condition=models.Q(count__gt=0), name="part_is_made"),
        ]

    def __str__(self) -> str:
        return self.name
