from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Ply(models.Model):
    """One layer of a part: a reinforcement, a size, a fibre direction. Length runs with the ply's own 0°."""

    class Direction(models.TextChoices):
        ALONG = "0", "0° (warp along the length)"
        ACROSS = "90", "90° (warp across the length)"
        BIAS = "45", "±45°"
        PLUS = "+45", "+45°"
        MINUS = "-45", "−45°"
        ANY = "any", "any"

        @property
        def short(self) -> str:
            """The angle alone, such as +45°."""
            return str(self.label).split(" ")[0]

    part = models.ForeignKey("jobs.Part", models.CASCADE, related_name="plies")
    number = models.PositiveSmallIntegerField("ply number")
    reinforcement = models.ForeignKey("shopstock.Reinforcement", models.PROTECT, related_name="plies")
    length_mm = models.PositiveIntegerField(
        "length (mm)", validators=[MinValueValidator(1), MaxValueValidator(200_000)]
    )
    width_mm = models.PositiveIntegerField("width (mm)", validators=[MinValueValidator(1), MaxValueValidator(200_000)])
    count = models.PositiveSmallIntegerField(
        "pieces a part", default=1, validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    direction = models.CharField(max_length=3, choices=Direction, default=Direction.ALONG)
    may_turn = models.BooleanField("may be turned", default=True)
    may_seam = models.BooleanField("may be seamed", default=True)
    overlap_mm = models.PositiveIntegerField("overlap of a seam (mm)", default=50)
    outline = models.JSONField(
        default=list, blank=True, help_text="Corners in mm along the length and across it; none for a rectangle."
    )
    fibre_mass_fraction = models.DecimalField(
        "fibre share by mass",
        max_digits=4,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(Decimal("0.8"))],
        help_text="Leave empty for the default of the form and process (ISO 12215-5:2008 defaults).",
    )

    class Meta:
        ordering = ["part", "number"]
        verbose_name_plural = "plies"
        constraints = [
            models.UniqueConstraint(fields=["part", "number"], name="ply_numbered_once"),
            models.CheckConstraint(
                condition=models.Q(length_mm__gt=0, width_mm__gt=0, count__gt=0), name="ply_has_size"
            ),
        ]

    def __str__(self) -> str:
        return f"ply {self.number} of {self.part}"

    @property
    def area_m2(self) -> Decimal:
        """Area of one piece as moulded, without seams' overlaps."""
        return Decimal(self.length_mm) * self.width_mm / 1_000_000
