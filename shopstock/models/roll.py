import datetime
from math import sqrt

from django.db import models
from django.urls import reverse

from shopstock.calc.roll_estimate import from_label, from_tape
from shopstock.calc.uncertainty import Estimate

STILL_OPEN = datetime.date(9999, 12, 31)  # never null, so that "open on a date" is one range for the database


class Roll(models.Model):
    """One length of one reinforcement: a roll on its tube, or an offcut. Only the ledger changes its lengths."""

    class Kind(models.TextChoices):
        ROLL = "roll", "roll"
        OFFCUT = "offcut", "offcut"

    class Condition(models.TextChoices):
        USABLE = "usable", "usable"
        QUARANTINED = "quarantined", "quarantined"

    class Lying(models.TextChoices):
        CORE = "core", "held by its core"
        FLAT = "flat", "lying on a shelf"
        HANGING = "hanging", "hanging"
        ON_END = "on_end", "standing on end"
        FOLDED = "folded", "folded"

    class Grade(models.TextChoices):
        STRUCTURAL = "structural", "for any part"
        NON_STRUCTURAL = "non_structural", "for non-structural parts only"

    code = models.CharField(max_length=10, unique=True)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.ROLL)
    reinforcement = models.ForeignKey("shopstock.Reinforcement", models.PROTECT, related_name="rolls")
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="offcuts")
    supplier = models.ForeignKey("shopstock.Supplier", models.PROTECT, null=True, blank=True, related_name="rolls")
    lot = models.CharField(max_length=40, blank=True)
    place = models.ForeignKey("shopstock.Place", models.PROTECT, null=True, blank=True, related_name="rolls")
    lying = models.CharField("how it lies", max_length=10, choices=Lying, default=Lying.CORE)
    width_mm = models.PositiveIntegerField("width as measured (mm)")
    label_length_mm = models.PositiveIntegerField("length on the label (mm)")
    gross_g = models.PositiveIntegerField("gross weight (g)", null=True, blank=True)
    tube_g = models.PositiveIntegerField("weight of the tube (g)", null=True, blank=True)
    core_mm = models.PositiveIntegerField("outside diameter of the tube (mm)", null=True, blank=True)
    outer_mm = models.PositiveIntegerField("outside diameter when it came (mm)", null=True, blank=True)
    price = models.DecimalField("price paid", max_digits=10, decimal_places=2, null=True, blank=True)

    length_mm = models.PositiveIntegerField("on the roll (mm)", default=0)
    set_aside_mm = models.PositiveIntegerField("set aside (mm)", default=0)
    faulty_mm = models.PositiveIntegerField("under faults (mm)", default=0)
    uncertainty_mm = models.FloatField("standard uncertainty of the length (mm)", null=True, blank=True, editable=False)
    doubt_sources = models.JSONField(default=dict, editable=False, help_text="Part of the uncertainty by source, mm.")
    cuts_since_measured = models.PositiveIntegerField(default=0, editable=False)
    grade = models.CharField(max_length=14, choices=Grade, default=Grade.STRUCTURAL)
    condition = models.CharField(max_length=12, choices=Condition, default=Condition.USABLE)
    condition_reason = models.CharField(max_length=200, blank=True)
    condition_since = models.DateTimeField(null=True, blank=True)
    recount_reason = models.CharField("why it must be measured", max_length=160, blank=True, editable=False)
    recount_since = models.DateTimeField(null=True, blank=True, editable=False)
    version = models.PositiveIntegerField(default=0)
    line_count = models.PositiveIntegerField("lines in the ledger", default=0, editable=False)
    last_link = models.CharField("link of its last line", max_length=64, default="", editable=False)

    use_by = models.DateField("use by (date on the label)", null=True, blank=True)
    received_on = models.DateField()
    closed_on = models.DateField(default=STILL_OPEN)

    class Meta:
        ordering = ["-received_on", "-pk"]
        indexes = [
            models.Index(fields=["reinforcement", "closed_on"]),
            models.Index(fields=["closed_on", "received_on"]),
            models.Index(fields=["reinforcement", "-length_mm"], name="roll_by_length"),  # the list as it opens
            models.Index(fields=["place", "closed_on"], name="roll_by_place"),
            models.Index(fields=["recount_since"], name="roll_to_recount"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(length_mm__gte=models.F("set_aside_mm") + models.F("faulty_mm")),
                name="roll_never_promised_twice",
            ),
            models.CheckConstraint(condition=models.Q(width_mm__gt=0), name="roll_has_width"),
            models.CheckConstraint(
                condition=models.Q(gross_g__isnull=True)
                | models.Q(tube_g__isnull=True)
                | models.Q(gross_g__gt=models.F("tube_g")),
                name="roll_heavier_than_its_tube",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.code}"

    def get_absolute_url(self) -> str:
        return reverse("roll", args=[self.code])

    @property
    def free_mm(self) -> int:
        """Physical length less what is promised and what lies under faults."""
        return self.length_mm - self.set_aside_mm - self.faulty_mm

    @property
    def estimate(self) -> Estimate:
        """The length as the ledger has it, with its doubt; a roll that nobody measured is as sure as its label."""
        if self.uncertainty_mm is None:
            start = from_tape if self.kind == self.Kind.OFFCUT else from_label
            return start(self.label_length_mm).less(self.label_length_mm - self.length_mm, 0.0)
        shared = sum(part**2 for part in self.doubt_sources.values())
        return Estimate(self.length_mm, sqrt(max(0.0, self.uncertainty_mm**2 - shared)), self.doubt_sources)

    @property
    def safe_length_mm(self) -> int:
        """What is there with 95 % certainty."""
        return int(self.estimate.safe_length_mm)

    @property
    def is_open(self) -> bool:
        return self.closed_on == STILL_OPEN

    @property
    def is_usable(self) -> bool:
        return self.is_open and self.condition == self.Condition.USABLE

    @property
    def net_g(self) -> int | None:
        return None if self.gross_g is None or self.tube_g is None else self.gross_g - self.tube_g
