from django.apps import AppConfig

from shopstock import demand


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from . import demand as jobs_demand  # its tables can be imported only now

        demand.register(jobs_demand)
