from django.db import models


class CallCount(models.Model):
    """How often a sender called in a minute; kept in the database, so that every worker of the server counts alike."""

    name = models.CharField(max_length=80)
    minute = models.DateTimeField()
    calls = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["name", "minute"], name="counted_once_a_minute")]

    def __str__(self) -> str:
        return f"{self.name}, {self.minute:%Y-%m-%d %H:%M}: {self.calls}"
