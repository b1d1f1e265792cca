import datetime
import shlex
import subprocess
from dataclasses import replace
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import Error
from django.utils import timezone

from shopstock import last_backup
from shopstock.backups.archive import BackupError, write_backup
from shopstock.calc.retention import days_to_drop
from shopstock.last_backup import LastBackup
from shopstock.up_to_date import require_up_to_date

NAME = "store-{day}.backup"


class Command(BaseCommand):
    help = (
        "Write database, uploads and settings to one file that proves itself, while people work. "
        "--daily names the file by the day, drops old ones, and copies it off this machine as the shop has set."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, nargs="?", help="the file to write; not with --daily")
        parser.add_argument("--daily", action="store_true", help="for a timer: into the folder of backups, once a day")

    def handle(self, *, file: Path | None, daily: bool, **options):
        if daily == bool(file):
            raise CommandError("Name a file, or say --daily.")
        now = timezone.now()
        try:
            require_up_to_date()
            self._daily(now) if daily else self._write(file, now)
        except (BackupError, CommandError, OSError, Error) as error:
            ours = isinstance(error, (BackupError, CommandError))
            words = str(error) if ours else f"The backup was not made: {error}."
            last_backup.note_problem(words)
            raise CommandError(words) from None

    def _write(self, file: Path, now: datetime.datetime) -> None:
        manifest = write_backup(file, at=now)
        rows = sum(part["pieces"] for name, part in manifest["parts"].items() if name.startswith("rows/"))
        last_backup.note(LastBackup(made_at=now, file=str(file), copied=False))
        self.stdout.write(f"Wrote {rows} rows to {file} ({file.stat().st_size / 1e6:.1f} MB) and read them back.")

    def _daily(self, now: datetime.datetime) -> None:
        folder: Path = settings.BACKUP_DIR
        folder.mkdir(parents=True, exist_ok=True)
        today = timezone.localdate(now)
        file = folder / NAME.format(day=today)
        if file.exists():
            self.stdout.write(f"{file} is there already: today's backup was made.")
        else:
            self._write(file, now)
        self._drop_old(folder, today)  # first: a copy that fails for weeks must not fill this disk
        self._copy_away(file)

    def _copy_away(self, file: Path) -> None:
        if not settings.BACKUP_COPY:
            return
        try:
            command = [part.replace("{file}", str(file)) for part in shlex.split(settings.BACKUP_COPY)]
            done = subprocess.run(command, capture_output=True, text=True, timeout=3600)
        except (OSError, ValueError, subprocess.TimeoutExpired) as error:
            raise BackupError(f"The backup is here, but the copy off this machine failed: {error}.") from None
        if done.returncode:
            told = done.stderr.strip().splitlines()[-1:] or [f"it ended with {done.returncode}"]
            raise BackupError(f"The backup is here, but the copy off this machine failed: {told[0]}.")
        if last := last_backup.last_backup():
            last_backup.note(replace(last, copied=True, problem=""))
        self.stdout.write("Copied off this machine.")

    def _drop_old(self, folder: Path, today: datetime.date) -> None:
        files = dict(filter(None, map(_day_of, folder.glob(NAME.format(day="*")))))
        keep = {"keep_days": settings.BACKUP_KEEP_DAYS, "keep_months": settings.BACKUP_KEEP_MONTHS}
        for day in days_to_drop(files, on=today, **keep):
            files[day].unlink()
            self.stdout.write(f"Dropped the backup of {day}.")


def _day_of(file: Path) -> tuple[datetime.date, Path] | None:
    try:
        return datetime.date.fromisoformat(file.name.removeprefix("store-").removesuffix(".backup")), file
    except ValueError:
        return None
