from django.conf import settings
from django.db import models


class ClimateReading(models.Model):
    """Temperature and humidity of a place at a moment."""

    class Source(models.TextChoices):
        HAND = "hand", "by hand"
        FILE = "file", "from a file"
        SENSOR = "sensor", "from a sensor"

    place = models.ForeignKey("shopstock.Place", models.PROTECT, related_name="readings")
    at = models.DateTimeField()
    temperature_c = models.DecimalField("temperature (°C)", max_digits=4, decimal_places=1)
    humidity = models.DecimalField("relative humidity (%)", max_digits=4, decimal_places=1, null=True, blank=True)
    source = models.CharField(max_length=6, choices=Source, default=Source.HAND)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    sensor = models.ForeignKey("shopstock.Sensor", models.PROTECT, null=True, blank=True, related_name="readings")

    class Meta:
        ordering = ["-at"]
        constraints = [
            models.UniqueConstraint(fields=["place", "at"], name="one_reading_a_moment"),
            models.CheckConstraint(
                condition=models.Q(humidity__isnull=True) | models.Q(humidity__gte=0, humidity__lte=100),
                name="humidity_is_a_share",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.place}, {self.temperature_c} °C at {self.at:%Y-%m-%d %H:%M}"
