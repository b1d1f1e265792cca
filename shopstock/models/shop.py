import copy
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


def between(least: str | int, most: str | int, unit: str) -> list:
    """Limits that say what to enter; numbers in the unit named."""
    kind = Decimal if isinstance(least, str) else int
    words = f"Enter a number from {least} to {most} {unit}.".replace("%", "%%")  # Django fills in a per cent sign
    return [MinValueValidator(kind(least), words), MaxValueValidator(kind(most), words)]


_read_once: ContextVar[list["Shop"] | None] = ContextVar("shop read once", default=None)


@contextmanager
def shop_read_once() -> Iterator[None]:
    """Read the shop's choices once for all that is done in here: a page asks for them from many sides."""
    token = _read_once.set([])
    try:
        yield
    finally:
        _read_once.reset(token)


class Shop(models.Model):
    """The one row of what this shop chose; every default here is common practice and meant to be edited."""

    class Units(models.TextChoices):
        METRIC = "metric", "metric first (mm, m, kg, °C)"
        US = "us", "US first (in, yd, lb, °F)"

    class AngleSense(models.TextChoices):
        COUNTER_CLOCKWISE = "ccw", "counter-clockwise, seen on the tool side"
        CLOCKWISE = "cw", "clockwise, seen on the tool side"

    name = models.CharField(max_length=80, default="Our shop")
    is_demo = models.BooleanField(default=False, editable=False)
    units = models.CharField(max_length=10, choices=Units, default=Units.METRIC)
    currency = models.CharField("currency", max_length=3, default="EUR", help_text="Three letters, such as EUR or USD.")
    address = models.CharField(
        "address on the labels",
        max_length=120,
        default="http://127.0.0.1:8000",
        help_text="What a phone types to reach this program; it is printed in the code of every label.",
    )
    cutting_allowance_mm = models.PositiveIntegerField("cutting allowance (mm)", default=0)
    overlap_mm = models.PositiveIntegerField(
        "overlap of a seam (mm)", default=50, help_text="Class rules ask for 50 mm or more between mats of one ply."
    )
    edge_trim_mm = models.PositiveIntegerField("edge trim a side (mm)", default=0)
    offcut_length_mm = models.PositiveIntegerField("shortest offcut kept (mm)", default=500)
    offcut_width_mm = models.PositiveIntegerField("narrowest offcut kept (mm)", default=300)
    offcut_area_cm2 = models.PositiveIntegerField("smallest offcut kept (cm²)", default=2500)
    offcut_keep_days = models.PositiveIntegerField("keep offcuts for (days)", default=270)
    recount_tolerance_percent = models.DecimalField(
        "recount: off by more than (%)", max_digits=4, decimal_places=1, default=Decimal("2.0")
    )
    recount_tolerance_mm = models.PositiveIntegerField("recount: and by more than (mm)", default=1000)
    resin_waste_percent = models.DecimalField(
        "resin mixed but not laid (%)", max_digits=4, decimal_places=1, default=Decimal("15.0")
    )
    resin_warning_days = models.PositiveIntegerField("warn of resin (days before its date)", default=30)
    quarantine_warning_days = models.PositiveIntegerField("warn of quarantine (days)", default=14)
    pot_cap_g = models.PositiveIntegerField(
        "largest pot mixed at once (g)",
        default=5000,
        help_text="Bigger pots run hot. The resin’s data sheet goes first.",
    )
    resin_laid_g_per_hour = models.PositiveIntegerField(
        "resin laid in an hour (g)", default=20_000, help_text="By everybody at the mould together."
    )
    pot_use_percent = models.PositiveIntegerField(
        "share of the pot life a pot may take (%)", default=60, help_text="The rest is left for what goes wrong."
    )
    laminating_min_c = models.DecimalField(
        "no laminating below (°C)", max_digits=4, decimal_places=1, default=Decimal("15.0"),
        help_text="Class rules ask for more than 15 °C; some for 18 °C.",
    )  # fmt: skip
    flammable_limit_l = models.DecimalField(
        "flammables in a cabinet, category 1 to 3 (L)",
        max_digits=6,
        decimal_places=1,
        default=Decimal("227.1"),
        help_text="60 US gal by US OSHA 29 CFR 1910.106(d)(3)(i). The local fire code goes first.",
    )
    flammable_limit_cat_4_l = models.DecimalField(
        "flammables in a cabinet, category 4 (L)",
        max_digits=6,
        decimal_places=1,
        default=Decimal("454.2"),
        help_text="120 US gal by the same rule.",
    )
    doubt_warning_mm = models.PositiveIntegerField(
        "warn when the length of a roll is in doubt by (mm)", default=1500, help_text="95 in 100, either way."
    )

    keeping_percent = models.DecimalField(
        "keeping stock costs, of its price a year (%)",
        max_digits=4,
        decimal_places=1,
        default=Decimal("20.0"),
        validators=between("0", "100", "%"),
        help_text="Money tied up, space and spoilage. 20 % is a rule of thumb; yours is better.",
    )
    short_percent = models.PositiveSmallIntegerField(
        "being short costs, of the price of what is short (%)",
        default=100,
        validators=between(1, 1000, "%"),
        help_text="Express freight, a job that waits. It decides how many rolls to have for jobs that may come.",
    )
    order_seconds = models.DecimalField(
        "search for the cheapest order for at most (s)",
        max_digits=3,
        decimal_places=1,
        default=Decimal("0.5"),
        validators=between("0.1", "10", "s"),
        help_text="For each supplier. The page says so when the answer is not proved cheapest by then.",
    )
    forecast_weeks = models.PositiveSmallIntegerField(
        "forecast of repairs looks back (weeks)", default=52, validators=between(8, 156, "weeks")
    )
    forecast_smoothing_percent = models.PositiveSmallIntegerField(
        "forecast of repairs follows the newest week by (%)",
        default=10,
        validators=between(1, 50, "%"),
        help_text="10 % is usual; more follows faster and jumps more.",
    )
    angle_sense = models.CharField(
        "ply angles count",
        max_length=3,
        choices=AngleSense,
        default=AngleSense.COUNTER_CLOCKWISE,
        help_text="Which way +45° lies from 0°, looking at the tool surface. It is printed on every cut ticket.",
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_shop")]

    def __str__(self) -> str:
        return self.name

    def save(self, *args, **kwargs) -> None:
        super().save(*args, **kwargs)
        if kept := _read_once.get():
            kept.clear()

    @classmethod
    def current(cls) -> "Shop":
        """The shop as it stands; each caller's own copy, since a form writes into its row before it is known right."""
        kept = _read_once.get()
        if not kept:
            found = cls.objects.get_or_create(pk=1)[0]
            if kept is None:
                return found
            kept.append(found)
        return copy.copy(kept[0])
