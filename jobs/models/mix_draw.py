from django.db import models


class MixDraw(models.Model):
    """One draw from one container that went into a pot."""

    class Role(models.TextChoices):
        RESIN = "resin", "resin or gelcoat"
        HARDENER = "hardener", "hardener"
        CATALYST = "catalyst", "catalyst"

    mix = models.ForeignKey("jobs.Mix", models.PROTECT, related_name="draws")
    movement = models.OneToOneField("shopstock.ContainerMovement", models.PROTECT, related_name="mix_draw")
    role = models.CharField(max_length=10, choices=Role)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_role_display()}: {-self.movement.delta_g} g"
