from django.apps import AppConfig


class ShopstockConfig(AppConfig):
    name = "shopstock"
    verbose_name = "Storeroom"
    default_auto_field = "django.db.models.BigAutoField"
