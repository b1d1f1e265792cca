from django.db import models
from django.urls import reverse


class Supplier(models.Model):
    name = models.CharField(max_length=80, unique=True)
    lead_time_days = models.PositiveIntegerField("lead time (days)", default=14)
    email = models.EmailField(blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("supplier", args=[self.pk])
