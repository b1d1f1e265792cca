from django.conf import settings
from django.db import models


class SupplierArticle(models.Model):
    """What a supplier's article number (GTIN) means in this store; asked once and remembered."""

    gtin = models.CharField("article number (GTIN)", max_length=14, unique=True)
    reinforcement = models.ForeignKey(
        "shopstock.Reinforcement", models.CASCADE, null=True, blank=True, related_name="articles"
    )
    chemical = models.ForeignKey("shopstock.Chemical", models.CASCADE, null=True, blank=True, related_name="articles")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["gtin"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(reinforcement__isnull=True) ^ models.Q(chemical__isnull=True),
                name="article_means_one_thing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.gtin}: {self.reinforcement or self.chemical}"
