from django.apps import AppConfig

from labels import scan_reader
from shopstock import scans


class LabelsConfig(AppConfig):
    name = "labels"
    verbose_name = "Labels"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        scans.register(scan_reader)
