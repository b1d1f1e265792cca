from django.conf import settings
from django.db import models


class Mix(models.Model):
    """One pot: what was drawn for it, at what temperature and dose, and which plies it was for."""

    class What(models.TextChoices):
        RESIN = "resin", "laminating resin"
        GELCOAT = "gelcoat", "gelcoat"

    job = models.ForeignKey("jobs.Job", models.PROTECT, related_name="mixes")
    what = models.CharField(max_length=8, choices=What, default=What.RESIN)
    number = models.PositiveIntegerField("pot")
    planned_g = models.PositiveIntegerField("planned, resin and hardener (g)")
    mixed_g = models.PositiveIntegerField("weighed, resin and hardener (g)")
    reinforcement_g = models.PositiveIntegerField("reinforcement it is laid into (g)", default=0)
    temperature_c = models.DecimalField("temperature of the shop (°C)", max_digits=4, decimal_places=1)
    percent = models.DecimalField("catalyst (%)", max_digits=5, decimal_places=2, null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="mixes")
    at = models.DateTimeField()
    key = models.CharField(max_length=80, unique=True)

    class Meta:
        ordering = ["job", "what", "number"]
        verbose_name_plural = "mixes"
        constraints = [models.UniqueConstraint(fields=["job", "what", "number"], name="pot_numbered_once")]

    def __str__(self) -> str:
        return f"pot {self.number} for {self.job}"
