from django.conf import settings
from django.db import models


class Tablet(models.Model):
    """A shared device on which people may sign in by name and PIN. It carries a token; here is only its hash."""

    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["ended_at", "name"]

    def __str__(self) -> str:
        return self.name
