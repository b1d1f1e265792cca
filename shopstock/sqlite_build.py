"""Which build of SQLite runs the store: a sound one from the extra `sqlite`, if Python's own has the WAL-reset fault.

Versions 3.7.0 to 3.51.2 can, very rarely, damage a database in WAL mode when a checkpoint races with a commit that
resets the log; mended in 3.51.3 and in 3.50.7 and 3.44.6 of the older lines.
"""

import sqlite3
import sys

Version = tuple[int, int, int]


def has_wal_reset_fault(version: Version) -> bool:
    if version[:2] == (3, 44):
        return version < (3, 44, 6)
    if version[:2] == (3, 50):
        return version < (3, 50, 7)
    return (3, 7, 0) <= version < (3, 51, 3)


def use_sound_build() -> None:
    """Put the build of the extra in the place of Python's own, before Django looks for it."""
    if not has_wal_reset_fault(sqlite3.sqlite_version_info):
        return
    try:
        import pysqlite3  # an optional extra
    except ImportError:
        return
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def warning_for(version: Version) -> str | None:
    if not has_wal_reset_fault(version):
        return None
    return (
        f"SQLite {'.'.join(map(str, version))} has a fault that can, very rarely, damage the database when several "
        "people write. Install the sound build that comes with the program: pip install -e '.[sqlite]'. "
        "Until then keep the daily backup."
    )
