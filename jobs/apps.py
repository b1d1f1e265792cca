from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"
