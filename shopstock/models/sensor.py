from django.conf import settings
from django.db import models


class Sensor(models.Model):
    """A device or script that may send readings for one place. Only the hash of its token is kept."""

    name = models.CharField(max_length=60)
    place = models.ForeignKey("shopstock.Place", models.PROTECT, related_name="sensors")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
