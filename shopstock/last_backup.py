"""What is known of the last good backup: written by the backup command, read by Today and the health page."""

import datetime
import json
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from django.conf import settings

OLD_AFTER = datetime.timedelta(hours=50)  # a day's backup, and two nights in which it may fail unseen


@dataclass(frozen=True)
class LastBackup:
    made_at: datetime.datetime | None = None  # None: every try has failed
    file: str = ""
    copied: bool = False  # by the shop's own command, off this machine
    problem: str = ""  # of a try after it, or of the copy

    def is_old(self, now: datetime.datetime) -> bool:
        """Of days ago, or of a day to come: made while a clock was wrong, it would hide that none came since."""
        return self.made_at is None or not -OLD_AFTER <= now - self.made_at <= OLD_AFTER


def _path() -> Path:
    return settings.DATA_DIR / "last_backup.json"


def last_backup() -> LastBackup | None:
    try:
        told = json.loads(_path().read_text(encoding="utf-8"))
        if told["made_at"] is not None:
            told["made_at"] = datetime.datetime.fromisoformat(told["made_at"]).astimezone(datetime.UTC)
        return LastBackup(**told)
    except (OSError, ValueError, TypeError, KeyError):
        return None


def note(backup: LastBackup) -> None:
    told = asdict(backup) | {"made_at": backup.made_at and backup.made_at.isoformat(timespec="seconds")}
    _path().parent.mkdir(parents=True, exist_ok=True)
    new = _path().with_suffix(".new")
    new.write_text(json.dumps(told), encoding="utf-8")
    new.replace(_path())


def note_problem(words: str) -> None:
    """Why a try failed, beside the last backup that did not; a disk that takes nothing hides nobody's error."""
    with suppress(OSError):
        note(replace(last_backup() or LastBackup(), problem=words))
