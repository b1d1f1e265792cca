from django.db import models


class MixPly(models.Model):
    """The part of a pot that was for one ply; `name` stays when the ply is taken out of the lay-up later."""

    mix = models.ForeignKey("jobs.Mix", models.CASCADE, related_name="plies")
    ply = models.ForeignKey("jobs.Ply", models.SET_NULL, null=True, related_name="mixes")
    name = models.CharField(max_length=120)
    mass_g = models.PositiveIntegerField("planned for it, resin and hardener (g)")

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "mix plies"

    def __str__(self) -> str:
        return f"{self.mass_g} g for {self.name}"
