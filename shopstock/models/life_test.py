from django.conf import settings
from django.db import models


class LifeTest(models.Model):
    """A test of a container whose date has come: cup gel time and cure, what followed, and who decided."""

    container = models.ForeignKey("shopstock.Container", models.PROTECT, related_name="life_tests")
    movement = models.OneToOneField("shopstock.ContainerMovement", models.PROTECT, related_name="life_test")
    tested_on = models.DateField()
    gel_minutes = models.DecimalField("cup gel time (min)", max_digits=5, decimal_places=1)
    cured = models.BooleanField("the cup cured as it should")
    result = models.CharField("what was seen", max_length=200)
    passed = models.BooleanField()
    old_end = models.DateField()
    new_end = models.DateField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="life_tests")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(passed=False, new_end__isnull=True)
                | models.Q(passed=True, cured=True, new_end__gt=models.F("tested_on")),
                name="only_a_passed_test_extends",
            )
        ]

    def __str__(self) -> str:
        return f"tested on {self.tested_on}: {'passed' if self.passed else 'failed'}"
