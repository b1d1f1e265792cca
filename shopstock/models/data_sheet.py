from django.conf import settings
from django.db import models


class DataSheet(models.Model):
    """A data sheet of a product as the supplier sent it. Kept in the database, so that every backup holds it."""

    class Kind(models.TextChoices):
        TECHNICAL = "technical", "technical data sheet"
        SAFETY = "safety", "safety data sheet"
        CERTIFICATE = "certificate", "certificate of a batch"

    chemical = models.ForeignKey("shopstock.Chemical", models.CASCADE, related_name="data_sheets")
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.TECHNICAL)
    title = models.CharField(max_length=120)
    content = models.BinaryField()
    size = models.PositiveIntegerField("size (bytes)")
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["kind", "-added_at"]

    def __str__(self) -> str:
        return self.title
