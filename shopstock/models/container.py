import datetime

from django.db import models
from django.urls import reverse

from .roll import STILL_OPEN


class Container(models.Model):
    """A drum, pail or can of one batch. Only the ledger changes its mass."""

    code = models.CharField(max_length=10, unique=True)
    chemical = models.ForeignKey("shopstock.Chemical", models.PROTECT, related_name="containers")
    supplier = models.ForeignKey("shopstock.Supplier", models.PROTECT, null=True, blank=True, related_name="containers")
    batch = models.CharField(max_length=40, blank=True)
    place = models.ForeignKey("shopstock.Place", models.PROTECT, null=True, blank=True, related_name="containers")
    label_date = models.DateField("use by (date on the label)")
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
    def expires_on(self) -> datetime.date:
        """The earlier of the label's date and the end of its life once opened; needs `chemical` loaded."""
        if self.opened_on is None or self.chemical.open_life_days is None:
            return self.label_date
        return min(self.label_date, self.opened_on + datetime.timedelta(days=self.chemical.open_life_days))
