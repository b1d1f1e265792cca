from django.db import models


class PotLife(models.Model):
    """One pot life of a data sheet: minutes at a temperature, with what dose of catalyst, in what mass."""

    chemical = models.ForeignKey("shopstock.Chemical", models.CASCADE, related_name="pot_lives")
    temperature_c = models.DecimalField("at (°C)", max_digits=4, decimal_places=1)
    percent = models.DecimalField("with catalyst (%)", max_digits=4, decimal_places=2, null=True, blank=True)
    minutes = models.DecimalField("pot life (min)", max_digits=6, decimal_places=1)

    class Meta:
        ordering = ["percent", "temperature_c"]
        constraints = [models.CheckConstraint(condition=models.Q(minutes__gt=0), name="pot_life_has_minutes")]

    def __str__(self) -> str:
        with_what = f" with {self.percent} %" if self.percent is not None else ""
        return f"{self.minutes} min at {self.temperature_c} °C{with_what}"
