"""The backup file: a ZIP of rows, uploads and settings, with a manifest that proves each of them."""

import hashlib
import io
import json
import os
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path, PureWindowsPath

from django.apps import apps
from django.conf import settings
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from .rows import kept_tables, lines_of, one_moment

FORMAT = 1
MANIFEST, SETTINGS, ROWS, UPLOADS = "manifest.json", "settings.json", "rows/", "uploads/"
# What a shop sets from outside and would have to find again; secrets and addresses with passwords are not among them.
SETTINGS_KEPT = (
    "SHOPSTOCK_HOSTS", "SHOPSTOCK_TRUSTED_ORIGINS", "SHOPSTOCK_TIME_ZONE", "SHOPSTOCK_HTTPS", "SHOPSTOCK_BACKUPS",
    "SHOPSTOCK_BACKUP_COPY", "SHOPSTOCK_BACKUP_KEEP_DAYS", "SHOPSTOCK_BACKUP_KEEP_MONTHS", "SHOPSTOCK_PROXY",
    "SHOPSTOCK_SLOW_SECONDS", "SHOPSTOCK_EMAIL_BACKEND", "SHOPSTOCK_EMAIL_HOST", "SHOPSTOCK_EMAIL_PORT",
    "SHOPSTOCK_EMAIL_TLS", "SHOPSTOCK_EMAIL_USER", "SHOPSTOCK_EMAIL_FROM",
)  # fmt: skip


class BackupError(Exception):
    """A backup that cannot be made or used; the message says what to do."""


def write_backup(file: Path, *, at: datetime) -> dict:
    """Write a backup beside `file`, read it back, and only then give it its name. Returns its manifest."""
    if file.exists():
        raise BackupError(f"{file} is there already and is not overwritten. Name another file.")
    if not file.parent.is_dir():
        raise BackupError(f"There is no folder {file.parent}. Make it first.")
    part = file.with_name(file.name + ".part")
    try:
        manifest = _write(part, at)
        verify(part)
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.rename(file)
    except OSError as error:
        raise BackupError(f"{file} cannot be written: {error.strerror}. Make room or name another place.") from None
    finally:
        part.unlink(missing_ok=True)
    return manifest


def _write(file: Path, at: datetime) -> dict:
    with zipfile.ZipFile(file, "x", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        with one_moment():
            migrations = sorted(MigrationRecorder(connection).applied_migrations())
            parts = {f"{ROWS}{name}": _add(archive, f"{ROWS}{name}", _rows(model)) for name, model in _tables()}
        for upload in _uploads():
            name = UPLOADS + upload.relative_to(_upload_folder()).as_posix()
            parts[name] = _add(archive, name, iter([upload.read_bytes()]))
        parts[SETTINGS] = _add(archive, SETTINGS, iter([json.dumps(_settings(), indent=1).encode()]))
        manifest = {
            "format": FORMAT,
            "made_at": at.isoformat(timespec="seconds"),
            "database": connection.vendor,
            "migrations": migrations,
            "parts": parts,
        }
        archive.writestr(MANIFEST, json.dumps(manifest, indent=1))
    return manifest


def _tables():
    return kept_tables(apps).items()


def _rows(model) -> Iterator[bytes]:
    return (line.encode("utf-8", "surrogatepass") for line in lines_of(model))


def _upload_folder() -> Path:
    return settings.DATA_DIR / "uploads"


def _uploads() -> list[Path]:
    return sorted(path for path in _upload_folder().rglob("*") if path.is_file())


def _settings() -> dict[str, str]:
    return {name: os.environ[name] for name in SETTINGS_KEPT if name in os.environ}


def _add(archive: zipfile.ZipFile, name: str, chunks: Iterator[bytes]) -> dict:
    count, digest = 0, hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as part:
        for chunk in chunks:
            part.write(chunk)
            digest.update(chunk)
            count += 1
    return {"sha256": digest.hexdigest(), "pieces": count}


def open_backup(file: Path) -> zipfile.ZipFile:
    try:
        return zipfile.ZipFile(file)
    except FileNotFoundError:
        raise BackupError(f"There is no file {file}.") from None
    except (OSError, zipfile.BadZipFile) as error:
        raise BackupError(f"{file} is damaged or no backup ({error}). Take an older one.") from None


def verify(file: Path) -> dict:
    """Read every byte and compare it with the manifest, which is returned."""
    with open_backup(file) as archive:
        try:
            manifest = json.loads(archive.read(MANIFEST))
            _verify_parts(file, archive, manifest)
        except (KeyError, ValueError, EOFError, zipfile.BadZipFile, OSError) as error:
            raise BackupError(f"{file} is damaged or no backup ({error}). Take an older one.") from None
        except Exception as error:  # zlib.error and what else a damaged stream may raise
            if isinstance(error, BackupError):
                raise
            raise BackupError(f"{file} is damaged ({error}). Take an older one.") from None
    return manifest


def _verify_parts(file: Path, archive: zipfile.ZipFile, manifest: dict) -> None:
    if manifest["format"] > FORMAT:
        raise BackupError(f"{file} was made by a newer version of the program. Install that version, then restore.")
    there = set(archive.namelist()) - {MANIFEST}
    if there != set(manifest["parts"]):
        raise BackupError(f"{file} is damaged: its parts are not those its manifest names. Take an older one.")
    for name, part in manifest["parts"].items():
        path = PureWindowsPath(name.removeprefix(UPLOADS))  # which parts at both slashes, and knows of drives
        if path.anchor or ".." in path.parts:
            raise BackupError(f"{file} names a file outside its folder: {name}. Do not use it.")
        digest = hashlib.sha256()
        with archive.open(name) as opened:
            while chunk := opened.read(1 << 20):
                digest.update(chunk)
        if digest.hexdigest() != part["sha256"]:
            raise BackupError(f"{file} is damaged: {name} is not as it was written. Take an older one.")


def read_lines(archive: zipfile.ZipFile, name: str) -> Iterator[str]:
    with archive.open(name) as part:
        yield from io.TextIOWrapper(part, encoding="utf-8", errors="surrogatepass", newline="\n")
