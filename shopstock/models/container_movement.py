from django.conf import settings
from django.db import models


class ContainerMovement(models.Model):
    """One line of the append-only ledger of masses. Written by `shopstock.ledger` alone; a trigger forbids change."""

    class Kind(models.TextChoices):
        RECEIPT = "receipt", "received"
        DRAW = "draw", "drawn"
        RECOUNT = "recount", "weighed"
        LOSS = "loss", "lost"
        DISPOSAL = "disposal", "disposed of"
        MOVE = "move", "moved"
        TEST = "test", "tested"

    replayed = False  # true on a line that the ledger answers with because its key came before

    container = models.ForeignKey("shopstock.Container", models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    delta_g = models.IntegerField("change (g)")
    balance_after_g = models.PositiveIntegerField("left (g)")
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="container_movements")
    key = models.CharField(max_length=80, unique=True)
    reason = models.CharField(max_length=300, blank=True)
    link = models.CharField("link of the hash chain", max_length=64, default="", editable=False)

    class Meta:
        ordering = ["-recorded_at", "-pk"]
        indexes = [models.Index(fields=["container", "recorded_at", "id", "balance_after_g"], name="mass_as_of")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.delta_g:+d} g, {self.balance_after_g} g left"
