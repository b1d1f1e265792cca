from django.db import models


class DoseBand(models.Model):
    """One line of a resin's data sheet: how much catalyst, in per cent of its mass, in a range of temperature."""

    chemical = models.ForeignKey("shopstock.Chemical", models.CASCADE, related_name="dose_bands")
    from_c = models.DecimalField("from (°C)", max_digits=4, decimal_places=1)
    below_c = models.DecimalField("to below (°C)", max_digits=4, decimal_places=1)
    min_percent = models.DecimalField("at least (%)", max_digits=4, decimal_places=2)
    max_percent = models.DecimalField("at most (%)", max_digits=4, decimal_places=2)

    class Meta:
        ordering = ["from_c"]
        constraints = [
            models.CheckConstraint(condition=models.Q(from_c__lt=models.F("below_c")), name="dose_band_has_width"),
            models.CheckConstraint(
                condition=models.Q(min_percent__gt=0) & models.Q(min_percent__lte=models.F("max_percent")),
                name="dose_band_from_less_to_more",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_c} to below {self.below_c} °C: {self.min_percent} to {self.max_percent} %"
