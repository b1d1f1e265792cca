from django.db import models


class LabelPrint(models.Model):
    """One label of a run: of what, which kind, and the place or the cut piece that it names."""

    class Kind(models.TextChoices):
        OUTSIDE = "label", "label"
        TWIN = "twin", "twin inside the tube"
        PIECE = "piece", "cut piece"

    run = models.ForeignKey("labels.PrintRun", models.CASCADE, related_name="labels")
    number = models.PositiveIntegerField("order in the run")
    code = models.CharField(max_length=10, db_index=True)
    kind = models.CharField(max_length=6, choices=Kind, default=Kind.OUTSIDE)
    is_reprint = models.BooleanField(default=False)
    place = models.CharField("place that it names", max_length=60, blank=True)
    piece = models.CharField("cut piece that it names", max_length=160, blank=True)

    class Meta:
        ordering = ["run", "number"]
        constraints = [models.UniqueConstraint(fields=["run", "number"], name="label_numbered_once")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.code}"
