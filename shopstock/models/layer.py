from django.db import models

from shopstock.calc.directional_fibre import angle_words


class Layer(models.Model):
    """One direction of a reinforcement; a layer without an angle is random, as in mat."""

    reinforcement = models.ForeignKey("shopstock.Reinforcement", models.CASCADE, related_name="layers")
    number = models.PositiveSmallIntegerField()
    angle_deg = models.SmallIntegerField("angle from the warp (°)", null=True, blank=True)
    areal_weight_gsm = models.DecimalField("areal weight (g/m²)", max_digits=7, decimal_places=2)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["reinforcement", "number"], name="layer_numbered_once"),
            models.CheckConstraint(condition=models.Q(areal_weight_gsm__gt=0), name="layer_has_weight"),
            models.CheckConstraint(
                condition=models.Q(angle_deg__isnull=True) | models.Q(angle_deg__gt=-90, angle_deg__lte=90),
                name="layer_angle_in_range",
            ),
        ]

    def __str__(self) -> str:
        angle = "random" if self.angle_deg is None else angle_words(self.angle_deg)
        return f"{self.areal_weight_gsm.normalize():f} g/m² {angle}"
