from django.conf import settings
from django.db import models


class Pin(models.Model):
    """The short number a person types on a shop tablet, hashed like a password; it opens no page of the owner's."""

    person = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="pin")
    hashed = models.CharField(max_length=128)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"PIN of {self.person}"
