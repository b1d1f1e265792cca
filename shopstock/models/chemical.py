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
        ADHESIVE = "adhesive", "core adhesive"

    class Life(models.TextChoices):
        ENDS = "I", "Type I: ends for good on its date"
        TESTED = "II", "Type II: may be extended after a test"

    class Flammable(models.IntegerChoices):
        NOT = 0, "not flammable"
        CATEGORY_1 = 1, "category 1"
        CATEGORY_2 = 2, "category 2"
        CATEGORY_3 = 3, "category 3"
        CATEGORY_4 = 4, "category 4"

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
    minimum_g = models.PositiveIntegerField("keep at least (g)", default=0)
    notes = models.TextField(blank=True)

    hazards = models.CharField("hazard statements", max_length=200, blank=True)
    pictograms = models.CharField("pictogram codes", max_length=60, blank=True)
    un_number = models.CharField("UN number", max_length=40, blank=True)
    flammable_category = models.PositiveSmallIntegerField(
        "flammable liquid", choices=Flammable, null=True, blank=True, default=None
    )
    acts_as = models.CharField("must be kept apart as", max_length=80, blank=True)
    technical_sheet_url = models.URLField("link to its technical data sheet", blank=True)
    safety_sheet_url = models.URLField("link to its safety data sheet", blank=True)

    store_min_c = models.DecimalField("store at least at (°C)", max_digits=4, decimal_places=1, null=True, blank=True)
    store_max_c = models.DecimalField("store at most at (°C)", max_digits=4, decimal_places=1, null=True, blank=True)
    life_at_c = models.DecimalField("its shelf life is stated for (°C)", max_digits=4, decimal_places=1, default=25)
    life_type = models.CharField("when its date comes", max_length=2, choices=Life, default=Life.ENDS)
    extend_days = models.PositiveIntegerField("a test extends it by at most (days)", default=30)
    gel_min_minutes = models.DecimalField(
        "cup gel time at least (min)", max_digits=5, decimal_places=1, null=True, blank=True
    )
    gel_max_minutes = models.DecimalField(
        "cup gel time at most (min)", max_digits=5, decimal_places=1, null=True, blank=True
    )

    mixes_with = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="hardeners")
    parts_by_mass = models.DecimalField(
        "parts by mass to 100 of resin", max_digits=6, decimal_places=2, null=True, blank=True
    )
    parts_by_volume = models.DecimalField(
        "parts by volume to 100 of resin", max_digits=6, decimal_places=2, null=True, blank=True
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("chemical", args=[self.pk])

    @property
    def pictogram_codes(self) -> tuple[str, ...]:
        """GHS01 … GHS09, as the supplier's sheet states them."""
        return tuple(self.pictograms.split())

    @property
    def takes_catalyst(self) -> bool:
        return self.kind in (self.Kind.POLYESTER, self.Kind.VINYLESTER, self.Kind.GELCOAT)

    @property
    def is_laminating_resin(self) -> bool:
        return self.kind in (self.Kind.POLYESTER, self.Kind.VINYLESTER, self.Kind.EPOXY)
