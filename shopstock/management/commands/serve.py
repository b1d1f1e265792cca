from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from shopstock.beside import beside
from shopstock.serving import require_free, serve


class Command(BaseCommand):
    help = "Serve the program to the shop's network behind a production server."

    def add_arguments(self, parser):
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 for every machine on the network")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--threads", type=int, default=8)

    def handle(self, *, host: str, port: int, threads: int, **options):
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            raise CommandError("The database is not up to date. Run: manage.py migrate")
        require_free(host, port)
        self.stdout.write(f"Serving on http://{host}:{port}/ — stop with Ctrl+C.")
        with beside("plan_worker", "--with-parent"):
            serve(host, port, threads=threads)
