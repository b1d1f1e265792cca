from django.conf import settings
from django.db import models

from shopstock.calc.forms import FORMS

FORM_CHOICES = [(form.key, form.name) for form in FORMS.values()]


class CutHabit(models.Model):
    """How much longer than entered this shop cuts a form, switched on by the owner as the allowance of plans."""

    form = models.CharField(max_length=24, choices=FORM_CHOICES, unique=True)
    allowance_mm = models.PositiveIntegerField("allowance of a cut (mm)")
    observations = models.PositiveIntegerField("recounts behind it")
    cuts = models.PositiveIntegerField("cuts behind it")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["form"]

    def __str__(self) -> str:
        return f"{self.get_form_display()}: {self.allowance_mm} mm a cut"
