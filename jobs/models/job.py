from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse


class Job(models.Model):
    """An order: what is laid up, by when, with which resin and by which process."""

    class State(models.TextChoices):
        DRAFT = "draft", "being written"
        READY = "ready", "ready to cut"
        DONE = "done", "cut"
        CANCELLED = "cancelled", "cancelled"

    class Process(models.TextChoices):
        HAND = "hand", "hand lay-up, simple surface"
        HAND_COMPLEX = "hand_complex", "hand lay-up, complex surface"
        VACUUM = "vacuum", "vacuum"

    class LotRule(models.TextChoices):
        ANY = "any", "any lots"
        KNOWN = "known", "known lots only, so that each piece is traced to its certificate"
        ONE = "one", "one known lot of each fabric"

    name = models.CharField(max_length=80, unique=True)
    cut_on = models.DateField("to be cut on")
    process = models.CharField(max_length=14, choices=Process, default=Process.HAND)
    resin = models.ForeignKey(
        "shopstock.Chemical",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="jobs_laminated",
        limit_choices_to={"kind__in": ["polyester", "vinylester", "epoxy"]},
    )
    gelcoat = models.ForeignKey(
        "shopstock.Chemical",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="jobs_gelcoated",
        limit_choices_to={"kind": "gelcoat"},
    )
    gelcoat_area_m2 = models.DecimalField(
        "area to gelcoat (m²)", max_digits=8, decimal_places=2, default=0, validators=[MinValueValidator(Decimal("0"))]
    )
    gelcoat_film_mm = models.DecimalField(
        "wet film of gelcoat (mm)",
        max_digits=4,
        decimal_places=2,
        default=Decimal("0.50"),
        validators=[MinValueValidator(Decimal("0.05")), MaxValueValidator(Decimal("2"))],
    )
    waste_percent = models.DecimalField(
        "resin mixed but not laid (%)",
        max_digits=4,
        decimal_places=1,
        default=Decimal("15.0"),
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("99"))],
    )
    max_resin_ratio = models.DecimalField(
        "resin to reinforcement by mass, at most",
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.2")), MaxValueValidator(Decimal("6"))],
        help_text="The limit that a class rule or the drawing sets, such as 2.33 for mat at 30 % glass.",
    )
    lot_rule = models.CharField("cloth of which lots", max_length=5, choices=LotRule, default=LotRule.ANY)
    is_non_structural = models.BooleanField(
        "non-structural", default=False, help_text="Carries no load: cloth that was downgraded may go into it."
    )
    notes = models.TextField(blank=True)
    chance_percent = models.PositiveSmallIntegerField(
        "chance that it comes (%)",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(99)],
        help_text="Of a job that is only quoted; empty once it is firm.",
    )
    taken_on_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    taken_on_at = models.DateTimeField(null=True, blank=True, help_text="When a quoted job was made firm.")
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["cut_on", "name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(chance_percent__isnull=True)
                | models.Q(chance_percent__gte=1, chance_percent__lte=99),
                name="quoted_job_neither_sure_nor_hopeless",
            ),
            models.CheckConstraint(
                condition=models.Q(chance_percent__isnull=True) | models.Q(taken_on_at__isnull=True),
                name="job_taken_on_is_firm",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("job", args=[self.pk])

    @property
    def is_quoted(self) -> bool:
        """It may come: nothing is set aside for it, and it counts with its chance alone."""
        return self.chance_percent is not None

    @property
    def is_planned_work(self) -> bool:
        """Counts as demand: neither done nor cancelled."""
        return self.state in (self.State.DRAFT, self.State.READY)
