import sys
from pathlib import Path

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from shopstock.ledger import LedgerError
from shopstock.roles import OWNER
from shopstock.stock_file.actions import ImportPlan, carry_out, plan_import
from shopstock.stock_file.readers import MOST_BYTES, FileProblem, read_table

User = get_user_model()


class Command(BaseCommand):
    help = (
        "Take the opening stock in from a CSV or XLSX file, all or nothing. "
        "Exits 1 when lines are wrong, 2 when the command is."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="CSV or XLSX; the columns stand on the page “Stock from a file”")
        parser.add_argument("--by", metavar="NAME", help="in whose name; may be left out when there is only one owner")
        parser.add_argument("--check", action="store_true", help="say what the file would add, and store nothing")

    def handle(self, *, file: Path, by: str | None, check: bool, **options):
        data = self._read(file)
        person = None if check and not by else self._person(by)
        now = timezone.now()
        try:
            plan = plan_import(read_table(data), on=timezone.localdate(now), progress=self._progress)
        except FileProblem as error:
            self.stderr.write(f"{file.name}: {error}")
            sys.exit(1)
        if plan.problems:
            self._refuse(file, plan)
        self._announce(plan)
        if check:
            self.stdout.write(
                f"{file.name} would add {len(plan.rows)} rolls, {metres(plan.length_mm)}. Stored nothing."
            )
            return
        self._store(file, plan, by=person, at=now)

    def _store(self, file: Path, plan: ImportPlan, *, by, at) -> None:
        try:
            made = carry_out(plan, by=by, at=at, progress=self._progress)
        except LedgerError as error:
            self.stderr.write(f"{file.name}: {error}")
            sys.exit(1)
        self.stdout.write(f"Added {len(made)} rolls, {metres(sum(roll.length_mm for roll in made))}.")

    def _read(self, file: Path) -> bytes:
        try:
            with file.open("rb") as opened:
                return opened.read(MOST_BYTES + 1)
        except OSError as error:
            raise CommandError(f"{file} cannot be read: {error.strerror}.", returncode=2) from None

    def _person(self, name: str | None):
        if name:
            person = User.objects.filter(username=name, is_active=True).first()
            if person is None:
                raise CommandError(f"Nobody called {name} may sign in.", returncode=2)
            return person
        owners = list(User.objects.filter(groups__name=OWNER, is_active=True)[:2])
        if len(owners) != 1:
            raise CommandError("Say in whose name the stock is taken in: --by NAME.", returncode=2)
        return owners[0]

    def _refuse(self, file: Path, plan: ImportPlan) -> None:
        for problem in plan.problems:
            self.stderr.write(str(problem))
        self.stderr.write(f"{file.name}: {len(plan.problems)} to correct. Stored nothing.")
        sys.exit(1)

    def _announce(self, plan: ImportPlan) -> None:
        self.stdout.write(plan.note)
        for what, names in (
            ("Columns not used", plan.ignored),
            ("New in the catalogue", [material.name for material in plan.materials.values()]),
            ("New suppliers", plan.suppliers),
            ("New places", plan.places),
        ):
            if names:
                self.stdout.write(f"{what}: {', '.join(names)}.")
        if plan.known:
            self.stdout.write(f"Already in the store: {plan.known}, passed over.")

    def _progress(self, what: str, done: int, total: int) -> None:
        if total > 500:
            self.stdout.write(f"{done} of {total} {what}")
            self.stdout.flush()


def metres(length_mm: int) -> str:
    return f"{length_mm / 1000:.2f} m"
