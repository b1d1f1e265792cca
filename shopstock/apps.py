from django.apps import AppConfig


class ShopstockConfig(AppConfig):
    name = "shopstock"
    verbose_name = "Storeroom"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from . import checks  # noqa: F401 - registers itself, and may do so only now
        from .plain_messages import speak_plainly

        speak_plainly()
