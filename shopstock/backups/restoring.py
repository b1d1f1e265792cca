"""Filling an empty place from a backup file, and proving that every table came over."""

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from shopstock.ledger_check import differences

from .archive import ROWS, SETTINGS, UPLOADS, BackupError, open_backup, read_lines, verify
from .rows import MADE_BY_MIGRATIONS, kept_tables, lines_of, load


def restore(file: Path, *, tell: Callable[[str], None]) -> None:
    """Fill this empty database and upload folder from `file`, bring the tables up to date, and check the ledger."""
    tell(f"Reading {file} …")
    manifest = verify(file)
    _refuse_newer(file, manifest)
    _require_empty()
    with open_backup(file) as archive:
        _fill(archive, manifest, tell)
        _bring_uploads(archive, manifest)
        old_settings = json.loads(archive.read(SETTINGS))
    call_command("migrate", verbosity=0, interactive=False)
    if wrong := next(differences(), None):
        raise BackupError(f"Restored, but the ledger does not prove: {wrong} Keep the file and take an older one.")
    for name, value in old_settings.items():
        tell(f"The shop had set {name}={value}")


def _refuse_newer(file: Path, manifest: dict) -> None:
    known = set(MigrationLoader(None, ignore_no_migrations=True).graph.nodes)
    of_apps_here = {app for app, _ in known}
    newer = [
        f"{app}.{name}" for app, name in manifest["migrations"] if app in of_apps_here and (app, name) not in known
    ]
    if newer:
        raise BackupError(
            f"{file} was made by a newer version of the program (it knows {newer[0]}). "
            "Install that version first, then restore."
        )


def _require_empty() -> None:
    there = set(connection.introspection.table_names())
    full = [
        name
        for name, model in kept_tables(apps).items()
        if name in there and name not in MADE_BY_MIGRATIONS and _has_rows(name)
    ]
    if full:
        empty = "DATABASE_URL=sqlite:///restored.sqlite3, or add --move-aside"
        if connection.vendor == "postgresql":
            empty = "one that createdb has just made"
        raise BackupError(
            f"This database already holds a shop ({full[0]} has rows); nothing is overwritten. "
            f"Name an empty one, such as {empty}."
        )
    if any(path.is_file() for path in (settings.DATA_DIR / "uploads").rglob("*")):
        raise BackupError(
            f"There are uploads in {settings.DATA_DIR / 'uploads'} already; nothing is overwritten. "
            "Name an empty folder with SHOPSTOCK_DATA, or add --move-aside."
        )


def _has_rows(table: str) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM {connection.ops.quote_name(table)} LIMIT 1")
        return cursor.fetchone() is not None


def _fill(archive: zipfile.ZipFile, manifest: dict, tell: Callable[[str], None]) -> None:
    """Make the tables as they were when the backup was made, fill them, and compare each with the manifest."""
    state = _migrate_to(manifest["migrations"])
    tables = kept_tables(state)
    names = [part.removeprefix(ROWS) for part in manifest["parts"] if part.startswith(ROWS)]
    if missing := set(names) - set(tables):
        raise BackupError(f"The backup has a table that its version had not: {sorted(missing)[0]}. Take an older one.")
    with transaction.atomic():
        for name in names:
            tables[name]._base_manager.all().delete() if name in MADE_BY_MIGRATIONS else None
        for name in names:
            count = load(tables[name], read_lines(archive, ROWS + name))
            if count:
                tell(f"{name}: {count} rows")
    _set_counters(tables.values())
    for name in names:
        if _digest(tables[name]) != manifest["parts"][ROWS + name]["sha256"]:
            raise BackupError(f"{name} did not come over as it was. Leave this database, and restore into another.")


def _migrate_to(migrations: list):
    """Bring the tables to the state that a list of applied migrations describes; returns the models of that state."""
    executor = MigrationExecutor(connection)
    graph = executor.loader.graph
    applied = {tuple(node) for node in migrations} & set(graph.nodes)
    targets = sorted(node for node in applied if not _later_in_app(graph, node) & applied)
    executor.migrate(targets)
    return MigrationExecutor(connection).loader.project_state(targets).apps


def _later_in_app(graph, node: tuple[str, str]) -> set[tuple[str, str]]:
    return {child.key for child in graph.node_map[node].children if child.key[0] == node[0]}


def _digest(model) -> str:
    digest = hashlib.sha256()
    for line in lines_of(model):
        digest.update(line.encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def _set_counters(models) -> None:
    """Let PostgreSQL go on numbering after the highest number that came in."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(models)):
            cursor.execute(statement)


def _bring_uploads(archive: zipfile.ZipFile, manifest: dict) -> None:
    folder = settings.DATA_DIR / "uploads"
    for name in (part for part in manifest["parts"] if part.startswith(UPLOADS)):
        target = folder / name.removeprefix(UPLOADS)
        target.parent.mkdir(parents=True, exist_ok=True)
        with archive.open(name) as source, target.open("xb") as made:
            shutil.copyfileobj(source, made)
