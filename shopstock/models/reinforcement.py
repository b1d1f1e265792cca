from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from shopstock.calc.fabric_character import DRAPE_WORDS, usual_drape
from shopstock.calc.forms import FIBRES, FORMS, NO_WEAVE, WEAVES

FORM_CHOICES = [(form.key, form.name) for form in FORMS.values()]
FIBRE_CHOICES = [(fibre.key, fibre.name) for fibre in FIBRES.values()]
WEAVE_CHOICES = list(WEAVES.items())


class Reinforcement(models.Model):
    """A catalogue line. Its areal weight is the nominal one of the data sheet; what it is called is `name`."""

    class Fit(models.TextChoices):
        FITS = "fits", "fits"
        ASK = "ask", "ask the supplier"
        NOT = "not", "does not fit"

    class Turning(models.TextChoices):
        NEVER = "never", "never turned"
        BALANCED = "balanced", "0° and 90° alike"
        ANY = "any", "any way"

    class Binder(models.TextChoices):
        NONE = "none", "none"
        POWDER = "powder", "powder"
        EMULSION = "emulsion", "emulsion"
        STITCHED = "stitched", "stitched"

    name = models.CharField(max_length=100, unique=True)
    form = models.CharField(max_length=24, choices=FORM_CHOICES)
    fibre = models.CharField(max_length=16, choices=FIBRE_CHOICES)
    weave = models.CharField(max_length=12, choices=WEAVE_CHOICES, default=NO_WEAVE)
    drape = models.PositiveSmallIntegerField(
        "drape, 1 to 5", choices=list(DRAPE_WORDS.items()), null=True, blank=True, help_text="The shop's own rating."
    )
    binder = models.CharField(max_length=10, choices=Binder, default=Binder.NONE)
    areal_weight_gsm = models.DecimalField("areal weight (g/m²)", max_digits=7, decimal_places=2)
    weight_tolerance_percent = models.DecimalField(
        "tolerance on the weight (%)",
        max_digits=4,
        decimal_places=1,
        default=Decimal("10.0"),
        validators=[MinValueValidator(Decimal("0"))],
    )
    width_mm = models.PositiveIntegerField("width (mm)")
    roll_length_mm = models.PositiveIntegerField("length of a roll as sold (mm)")
    turning = models.CharField("may a piece be turned", max_length=10, choices=Turning, default=Turning.NEVER)
    fits_polyester = models.CharField("polyester", max_length=4, choices=Fit, default=Fit.ASK)
    fits_vinylester = models.CharField("vinyl ester", max_length=4, choices=Fit, default=Fit.ASK)
    fits_epoxy = models.CharField("epoxy", max_length=4, choices=Fit, default=Fit.ASK)
    supplier = models.ForeignKey(
        "shopstock.Supplier", models.PROTECT, null=True, blank=True, related_name="reinforcements"
    )
    lead_time_days = models.PositiveIntegerField("lead time (days)", null=True, blank=True)
    price_per_roll = models.DecimalField(
        "price of a roll",
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0"))],
    )
    wound_thickness_mm = models.DecimalField(
        "thickness of one layer as it lies wound (mm)",
        max_digits=5,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )
    offcut_length_mm = models.PositiveIntegerField("shortest offcut kept at full width (mm)", null=True, blank=True)
    offcut_side_mm = models.PositiveIntegerField("narrowest side of an offcut kept (mm)", null=True, blank=True)
    offcut_area_cm2 = models.PositiveIntegerField("smallest offcut kept (cm²)", null=True, blank=True)
    offcut_keep_days = models.PositiveIntegerField("keep offcuts for (days)", null=True, blank=True)
    minimum_mm = models.PositiveIntegerField("keep at least (mm)", default=0)
    store_min_c = models.DecimalField("store at least at (°C)", max_digits=4, decimal_places=1, null=True, blank=True)
    store_max_c = models.DecimalField("store at most at (°C)", max_digits=4, decimal_places=1, null=True, blank=True)
    store_max_humidity = models.PositiveSmallIntegerField("store at most at (% humidity)", null=True, blank=True)
    out_life_h = models.PositiveIntegerField("prepreg: hours it may be out of the freezer", null=True, blank=True)
    thaw_h = models.PositiveIntegerField("prepreg: hours to thaw sealed", null=True, blank=True)
    notes = models.TextField(blank=True)
    active = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=models.Q(areal_weight_gsm__gt=0), name="reinforcement_has_weight"),
            models.CheckConstraint(condition=models.Q(width_mm__gt=0), name="reinforcement_has_width"),
            models.CheckConstraint(condition=models.Q(roll_length_mm__gt=0), name="reinforcement_has_roll_length"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("reinforcement", args=[self.pk])

    @property
    def turns(self) -> tuple[int, ...]:
        """The quarter turns a blank of it may be laid at, for the planner."""
        return (0,) if self.turning == self.Turning.NEVER else (0, 90)

    @property
    def is_prepreg(self) -> bool:
        return self.out_life_h is not None

    @property
    def drape_rating(self) -> int:
        """The shop's own rating, or what is usual for such a fabric."""
        return self.drape or usual_drape(self.form, self.weave, float(self.areal_weight_gsm))

    @property
    def price_per_m2(self) -> Decimal | None:
        if self.price_per_roll is None:
            return None
        return self.price_per_roll / (Decimal(self.width_mm) * self.roll_length_mm / 1_000_000)
