import datetime

from django.db import models
from django.urls import reverse

from shopstock.calc.effective_end import End, effective_end

from .roll import STILL_OPEN


class Container(models.Model):
    """A drum, pail or can of one batch. Only the ledger changes its mass."""

    class Precision(models.TextChoices):
        DAY = "day", "a day"
        MONTH = "month", "a month: its last day counts"

    class Vessel(models.TextChoices):
        PLASTIC = "plastic", "plastic"
        STEEL = "steel", "steel"
        GLASS = "glass", "glass"

    code = models.CharField(max_length=10, unique=True)
    chemical = models.ForeignKey("shopstock.Chemical", models.PROTECT, related_name="containers")
    supplier = models.ForeignKey("shopstock.Supplier", models.PROTECT, null=True, blank=True, related_name="containers")
    batch = models.CharField(max_length=40, blank=True)
    place = models.ForeignKey("shopstock.Place", models.PROTECT, null=True, blank=True, related_name="containers")
    label_date = models.DateField("use by (date on the label)")
    label_precision = models.CharField("the label names", max_length=5, choices=Precision, default=Precision.DAY)
    made_on = models.DateField(null=True, blank=True)
    vessel = models.CharField("it stands in", max_length=8, choices=Vessel, blank=True, default="")
    gross_g = models.PositiveIntegerField("weight when it came, with its container (g)", null=True, blank=True)
    tested_on = models.DateField("last tested", null=True, blank=True, editable=False)
    extended_to = models.DateField("extended after a test to", null=True, blank=True, editable=False)
    opened_on = models.DateField(null=True, blank=True)
    tare_g = models.PositiveIntegerField("weight of the empty container (g)", null=True, blank=True)
    mass_g = models.PositiveIntegerField("left (g)", default=0)
    received_on = models.DateField()
    closed_on = models.DateField(default=STILL_OPEN)
    version = models.PositiveIntegerField(default=0)
    line_count = models.PositiveIntegerField("lines in the ledger", default=0, editable=False)
    last_link = models.CharField("link of its last line", max_length=64, default="", editable=False)

    class Meta:
        ordering = ["label_date", "pk"]
        indexes = [models.Index(fields=["chemical", "closed_on", "label_date"])]

    def __str__(self) -> str:
        return f"container {self.code}"

    def get_absolute_url(self) -> str:
        return reverse("container", args=[self.code])

    @property
    def is_open(self) -> bool:
        """Still in the store (not used up or thrown away)."""
        return self.closed_on == STILL_OPEN

    @property
    def end(self) -> End:
        """The day it ends and why; needs `chemical` loaded."""
        return effective_end(
            label_date=self.label_date,
            extended_to=self.extended_to,
            tested_on=self.tested_on,
            opened_on=self.opened_on,
            open_life_days=self.chemical.open_life_days,
        )

    @property
    def expires_on(self) -> datetime.date:
        return self.end.on
