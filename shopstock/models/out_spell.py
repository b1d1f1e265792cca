from django.conf import settings
from django.db import models


class OutSpell(models.Model):
    """One spell of a prepreg roll out of the freezer, its thaw in the bag counted. Written by the ledger alone."""

    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="out_spells")
    out_at = models.DateTimeField()
    back_at = models.DateTimeField(null=True, blank=True)
    out_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    back_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    temperature_c = models.DecimalField(
        "temperature where it lay (°C)", max_digits=4, decimal_places=1, null=True, blank=True
    )

    class Meta:
        ordering = ["out_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["roll"], condition=models.Q(back_at__isnull=True), name="out_of_the_freezer_once"
            ),
            models.CheckConstraint(
                condition=models.Q(back_at__isnull=True) | models.Q(back_at__gte=models.F("out_at")),
                name="back_after_it_went_out",
            ),
        ]

    def __str__(self) -> str:
        return f"out {self.out_at:%Y-%m-%d %H:%M}"
