import sys

from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import OperationalError, connection
from django.utils import timezone

from shopstock.beside import beside
from shopstock.demo.store import PASSWORD, fill_shop, is_empty, shop_as_filled
from shopstock.models import Shop
from shopstock.serving import require_free, serve

SIGN_IN = (("carla", "clerk"), ("luis", "laminator"), ("olga", "owner"))


class Command(BaseCommand):
    help = "Fill an invented shop, walk the main job once, say what was done, and serve it on this machine."

    def add_arguments(self, parser):
        parser.add_argument("--once", action="store_true", help="do all but serve")
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *, once: bool, port: int, **options):
        from shopstock.demo.main_job import told, walk_main_job  # loads the planner, which a refusal does not need

        if self._holds_real_data():
            self.stderr.write(
                "Refused: this database holds a real shop, and the demo only ever touches a database of its own.\n"
                "To look at the demo, name another database: DATABASE_URL=sqlite:///demo.sqlite3 manage.py demo"
            )
            sys.exit(2)
        call_command("migrate", verbosity=0, interactive=False)
        now = timezone.now()
        if is_empty():
            done = walk_main_job(fill_shop(now))
            self.stdout.write("\n".join(done))
        else:
            self.stdout.write("The demo shop is there already and stays as you left it. Today:")
            self.stdout.write("\n".join(told(shop_as_filled(now))))
        if once:
            return
        require_free("127.0.0.1", port)
        people = ", ".join(f"{name} ({role})" for name, role in SIGN_IN)
        self.stdout.write(f"\nOpen http://127.0.0.1:{port}/ and sign in as {people}, password {PASSWORD}")
        self.stdout.write("Stop with Ctrl+C.")
        self.stdout.flush()
        with beside("plan_worker", "--with-parent"):
            serve("127.0.0.1", port)

    def _holds_real_data(self) -> bool:
        """True unless the database is new, empty, or a demo of an earlier run."""
        try:
            tables = connection.introspection.table_names()
        except OperationalError as error:
            self.stderr.write(f"The database cannot be opened: {error}")
            sys.exit(2)
        if not tables:
            return False
        if Shop._meta.db_table not in tables:
            return True
        return not (Shop.objects.filter(is_demo=True).exists() or is_empty())
