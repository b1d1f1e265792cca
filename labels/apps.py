from django.apps import AppConfig


class LabelsConfig(AppConfig):
    name = "labels"
    verbose_name = "Labels"
    default_auto_field = "django.db.models.BigAutoField"
