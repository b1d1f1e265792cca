from django.db import models

from shopstock.calc.stock_code import make_code


class Place(models.Model):
    class Kind(models.TextChoices):
        RACK = "rack", "rack"
        SHELF = "shelf", "shelf"
        FREEZER = "freezer", "freezer"
        CABINET = "cabinet", "flammables cabinet"
        FLOOR = "floor", "floor"
        BENCH = "bench", "bench in the shop"

    code = models.CharField(max_length=10, unique=True, default=make_code, editable=False)
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.RACK)
    notes = models.TextField(blank=True)
    may_keep = models.CharField("only this may stand here", max_length=120, blank=True)
    in_daylight = models.BooleanField("daylight falls on it", default=False)
    on_wood = models.BooleanField("things stand on wood or wooden pallets", default=False)
    under_drums = models.BooleanField("drums or cans stand above it", default=False)
    near_sanding = models.BooleanField("sanding or grinding goes on beside it", default=False)
    flammable_limit_l = models.DecimalField(
        "flammables at most, category 1 to 3 (L)", max_digits=6, decimal_places=1, null=True, blank=True
    )
    is_workshop = models.BooleanField("this is where laminating is done", default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def allowed_groups(self) -> tuple[str, ...]:
        """What may stand here; empty where anything may that no rule forbids."""
        return tuple(self.may_keep.split())
