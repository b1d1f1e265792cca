from django.apps import AppConfig

from shopstock import demand, part_use, tickets, uses, work_queue


class JobsConfig(AppConfig):
    name = "jobs"
    verbose_name = "Jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from . import demand as jobs_demand  # its tables can be imported only now
        from . import part_areas, plan_runs, traced

        demand.register(jobs_demand)
        part_use.register(part_areas)
        uses.register(traced)
        work_queue.register(plan_runs.queue_now)
        tickets.register("jobs.cutting.tickets")
