from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from labels.calc.sheet_geometry import Medium

LEAST_MM, MOST_MM = MinValueValidator(0), MaxValueValidator(1000)
FEED = [MinValueValidator(-5), MaxValueValidator(5)]


class PrintMedium(models.Model):
    """A sheet of labels or a roll of stickers as this shop measured it, its printer's error, and how far it is used."""

    MEASURES = (
        "page_w", "page_h", "label_w", "label_h", "cols", "rows", "left", "top", "pitch_x", "pitch_y",
        "dpi", "offset_x", "offset_y",
    )  # fmt: skip

    key = models.SlugField(max_length=80, unique=True, editable=False)
    name = models.CharField(max_length=80, unique=True)
    page_w = models.FloatField("page width (mm)", validators=[LEAST_MM, MOST_MM])
    page_h = models.FloatField("page height (mm)", validators=[LEAST_MM, MOST_MM])
    label_w = models.FloatField("label width (mm)", validators=[LEAST_MM, MOST_MM])
    label_h = models.FloatField("label height (mm)", validators=[LEAST_MM, MOST_MM])
    cols = models.PositiveSmallIntegerField("labels side by side", default=1, validators=[MaxValueValidator(50)])
    rows = models.PositiveSmallIntegerField("labels one below the other", default=1, validators=[MaxValueValidator(50)])
    left = models.FloatField("from the page’s left edge to the first label (mm)", default=0, validators=[LEAST_MM])
    top = models.FloatField("from the page’s top edge to the first label (mm)", default=0, validators=[LEAST_MM])
    pitch_x = models.FloatField("from one label’s left edge to the next one’s (mm)", default=0, validators=[LEAST_MM])
    pitch_y = models.FloatField("from one label’s top edge to the next one’s (mm)", default=0, validators=[LEAST_MM])
    dpi = models.PositiveSmallIntegerField(
        "dots an inch of its printer", default=600, validators=[MinValueValidator(150), MaxValueValidator(2400)]
    )
    offset_x = models.FloatField("print farther right by (mm)", default=0, validators=FEED)
    offset_y = models.FloatField("print farther down by (mm)", default=0, validators=FEED)
    first_free = models.PositiveSmallIntegerField("first free label of the started sheet", default=1)
    in_use = models.BooleanField("offered when labels are printed", default=True)

    class Meta:
        ordering = ["-cols", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def medium(self) -> Medium:
        return Medium(self.name, **{name: getattr(self, name) for name in self.MEASURES})
