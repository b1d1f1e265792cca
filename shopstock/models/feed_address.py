from django.conf import settings
from django.db import models


class FeedAddress(models.Model):
    """The private address at which one person's calendar reads the watch. Only the hash of its token is kept."""

    person = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="feed_address")
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"calendar of {self.person}"
