from django.conf import settings
from django.db import models


class Movement(models.Model):
    """One line of the append-only ledger of lengths. Written by `shopstock.ledger` alone; a trigger forbids change."""

    class Kind(models.TextChoices):
        RECEIPT = "receipt", "received"
        CUT = "cut", "cut"
        LOSS = "loss", "cut away"
        OFFCUT = "offcut", "kept as offcut"
        RECOUNT = "recount", "recounted"
        CORRECTION = "correction", "corrected"
        MOVE = "move", "moved"
        FAULT = "fault", "fault found"
        FAULT_CLEARED = "fault_cleared", "fault cleared"
        QUARANTINE = "quarantine", "quarantined"
        RELEASE = "release", "released"
        SPLIT = "split", "split"
        JOIN = "join", "joined"
        RETURN = "return", "returned to the supplier"
        FOLD = "fold", "fold decided"

    class Cause(models.TextChoices):
        FAULT = "fault", "fault cut out"
        OUTER_LAYERS = "outer_layers", "outer layers stripped"
        END = "end", "crooked or frayed end"
        SAMPLE = "sample", "sample or trial"
        SHORT = "short", "too short for any job"
        OLD = "old", "kept too long"
        MISTAKE = "mistake", "wrongly cut"
        OTHER = "other", "other"

    replayed = False  # true on a line that the ledger answers with because its key came before
    given_back = ()  # on a line just written: the promises that the roll cannot keep any more

    roll = models.ForeignKey("shopstock.Roll", models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=14, choices=Kind)
    delta_mm = models.IntegerField("change (mm)")
    balance_after_mm = models.PositiveIntegerField("left (mm)")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="movements")
    key = models.CharField(max_length=80, unique=True)
    reason = models.CharField(max_length=300, blank=True)
    cause = models.CharField("why it was lost", max_length=12, choices=Cause, blank=True, default="")
    set_aside = models.ForeignKey("shopstock.SetAside", models.PROTECT, null=True, blank=True, related_name="movements")
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")

    pair = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="paired")
    link = models.CharField("link of the hash chain", max_length=64, default="", editable=False)

    class Meta:
        ordering = ["-recorded_at", "-pk"]
        indexes = [
            models.Index(fields=["roll", "recorded_at", "id", "balance_after_mm"], name="movement_as_of"),
            models.Index(fields=["recorded_at"], name="movement_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.delta_mm:+d} mm, {self.balance_after_mm} mm left"
