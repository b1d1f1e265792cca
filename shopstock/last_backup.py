"""What is known of the last good backup: written by the backup command, read by Today and the health page."""

import datetime
import json
from dataclasses import asdict, dataclass
from pathlib import Path

from django.conf import settings

OLD_AFTER = datetime.timedelta(hours=50)  # a day's backup, and two nights in which it may fail unseen


@dataclass(frozen=True)
class LastBackup:
    made_at: datetime.datetime
    file: str
    copied: bool  # by the shop's own command, off this machine
    problem: str = ""  # of a try after it, or of the copy

    def is_old(self, now: datetime.datetime) -> bool:
        return now - self.made_at > OLD_AFTER


def _path() -> Path:
    return settings.DATA_DIR / "last_backup.json"


def last_backup() -> LastBackup | None:
    try:
        told = json.loads(_path().read_text(encoding="utf-8"))
        made_at = datetime.datetime.fromisoformat(told.pop("made_at"))
        return LastBackup(made_at=made_at.astimezone(datetime.UTC), **told)
    except (OSError, ValueError, TypeError, KeyError):
        return None


def note(backup: LastBackup) -> None:
    told = asdict(backup) | {"made_at": backup.made_at.isoformat(timespec="seconds")}
    _path().parent.mkdir(parents=True, exist_ok=True)
    new = _path().with_suffix(".new")
    new.write_text(json.dumps(told), encoding="utf-8")
    new.replace(_path())
