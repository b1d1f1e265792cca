from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse


class Chemical(models.Model):
    """A product that ages: resin, gelcoat, hardener, catalyst. Its own data sheet overrides every default."""

    class Kind(models.TextChoices):
        POLYESTER = "polyester", "polyester resin"
        VINYLESTER = "vinylester", "vinyl ester resin"
        EPOXY = "epoxy", "epoxy resin"
        GELCOAT = "gelcoat", "gelcoat"
        HARDENER = "hardener", "hardener"
        PEROXIDE = "peroxide", "organic peroxide (catalyst)"
        PROMOTER = "promoter", "promoter"
        SOLVENT = "solvent", "solvent"

    name = models.CharField(max_length=100, unique=True)
    kind = models.CharField(max_length=12, choices=Kind)
    density_liquid = models.DecimalField(
        "density, liquid (g/cm³)", max_digits=5, decimal_places=3, validators=[MinValueValidator(Decimal("0.5"))]
    )
    density_cured = models.DecimalField(
        "density, cured (g/cm³)",
        max_digits=5,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.5"))],
    )
    open_life_days = models.PositiveIntegerField("good for, once opened (days)", null=True, blank=True)
    supplier = models.ForeignKey("shopstock.Supplier", models.PROTECT, null=True, blank=True, related_name="chemicals")
    lead_time_days = models.PositiveIntegerField("lead time (days)", null=True, blank=True)
    pack_g = models.PositiveIntegerField("net mass of a pack as sold (g)", null=True, blank=True)
    price_per_pack = models.DecimalField(max_digits=10, decimal_places=2, null=True, blank=True)
    shelf_life_days = models.PositiveIntegerField("shelf life when bought (days)", null=True, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("chemical", args=[self.pk])

    @property
    def is_laminating_resin(self) -> bool:
        return self.kind in (self.Kind.POLYESTER, self.Kind.VINYLESTER, self.Kind.EPOXY)
