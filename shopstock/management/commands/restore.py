import datetime
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import Error, connection
from django.utils import timezone

from shopstock.backups.archive import BackupError, verify
from shopstock.backups.restoring import restore


class Command(BaseCommand):
    help = (
        "Fill an empty database and upload folder from a backup, compare every table, bring it up to date, and check "
        "the ledger. Stop the server first."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument(
            "--move-aside",
            action="store_true",
            help="first rename the SQLite database and the uploads that are here; nothing is deleted",
        )

    def handle(self, *, file: Path, move_aside: bool, **options):
        try:
            if move_aside:
                verify(file)  # before anything is touched
                self._move_aside(timezone.now())
            restore(file, tell=self.stdout.write)
        except BackupError as error:
            raise CommandError(str(error)) from None
        except (Error, OSError) as error:
            raise CommandError(f"This place cannot be filled: {' '.join(str(error).split())}") from None
        self.stdout.write("Restored: every table compared, the ledger agrees. People sign in again.")

    def _move_aside(self, now: datetime.datetime) -> None:
        if connection.vendor != "sqlite":
            raise BackupError("--move-aside is for SQLite. Make an empty PostgreSQL database and name it instead.")
        database = Path(connection.settings_dict["NAME"])
        connection.close()
        stamp = now.strftime("%Y%m%d-%H%M%S")
        for path in (*(Path(f"{database}{end}") for end in ("", "-wal", "-shm")), settings.DATA_DIR / "uploads"):
            if path.exists():
                aside = path.rename(path.with_name(f"before-restore-{stamp}-{path.name}"))
                self.stdout.write(f"{path.name} is kept as {aside.name}.")
