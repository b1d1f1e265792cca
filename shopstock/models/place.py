from django.db import models


class Place(models.Model):
    class Kind(models.TextChoices):
        RACK = "rack", "rack"
        SHELF = "shelf", "shelf"
        FREEZER = "freezer", "freezer"
        CABINET = "cabinet", "flammables cabinet"
        FLOOR = "floor", "floor"

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=10, choices=Kind, default=Kind.RACK)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
