from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models

from jobs.calc.constituents import RESIN_NAMES
from shopstock.calc.forms import FIBRES

FIBRE, RESIN = "fibre", "resin"
MATERIALS = {f"{FIBRE}:{fibre.key}": f"{fibre.name} fibre" for fibre in FIBRES.values()} | {
    f"{RESIN}:{key}": name for key, name in RESIN_NAMES.items()
}
ABOVE_ZERO = [MinValueValidator(0.001)]


class MaterialProperties(models.Model):
    """The shop's own elastic figures of a fibre or resin, with their source; without a row the defaults hold."""

    material = models.CharField(max_length=24, choices=list(MATERIALS.items()), unique=True)
    density = models.FloatField("density (g/cm³)", validators=ABOVE_ZERO)
    modulus = models.FloatField("modulus, of a fibre along it (N/mm²)", validators=ABOVE_ZERO)
    modulus_across = models.FloatField("modulus across the fibre (N/mm²)", validators=ABOVE_ZERO, null=True, blank=True)
    shear_modulus = models.FloatField("shear modulus (N/mm²)", validators=ABOVE_ZERO)
    poisson = models.FloatField("Poisson’s ratio", validators=[MinValueValidator(0)])
    strain_along = models.FloatField("breaking strain along (%)", validators=ABOVE_ZERO, null=True, blank=True)
    strain_across = models.FloatField("breaking strain across (%)", validators=ABOVE_ZERO, null=True, blank=True)
    strain_woven = models.FloatField("breaking strain woven (%)", validators=ABOVE_ZERO, null=True, blank=True)
    strain_mat = models.FloatField("breaking strain of mat (%)", validators=ABOVE_ZERO, null=True, blank=True)
    source = models.CharField("where the figures come from", max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["material"]
        verbose_name_plural = "material properties"

    def __str__(self) -> str:
        return self.get_material_display()

    @property
    def kind(self) -> str:
        return self.material.split(":")[0]

    @property
    def key(self) -> str:
        return self.material.split(":")[1]
