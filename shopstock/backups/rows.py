"""Every row of the shop as a line of JSON, the same on every database, and back again."""

import datetime
import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from decimal import Decimal

from django.db import connection, transaction

# What a database makes anew by itself, what ends with the sign-in, or counts for a minute alone.
NOT_KEPT = {
    "django_session", "django_content_type", "auth_permission", "auth_group_permissions",
    "auth_user_user_permissions", "axes_accessattempt", "axes_accesslog", "axes_accessfailurelog",
    "axes_accessattemptexpiration", "shopstock_callcount",
}  # fmt: skip
MADE_BY_MIGRATIONS = {"auth_group", "shopstock_shop"}
BATCH = 500


def kept_tables(apps) -> dict[str, type]:
    """The tables that a backup holds, by name; `apps` may be those of an older state of the migrations."""
    tables = {model._meta.db_table: model for model in apps.get_models(include_auto_created=True)}
    return {name: tables[name] for name in sorted(tables) if name not in NOT_KEPT and not tables[name]._meta.proxy}


def lines_of(model) -> Iterator[str]:
    """Each row by its number, one line of JSON each; the same rows give the same lines on every database."""
    fields = model._meta.concrete_fields
    names = [field.attname for field in fields]
    for row in model._base_manager.order_by("pk").values_list(*names).iterator(chunk_size=2000):
        yield json.dumps(dict(zip(names, map(_plain, row), strict=True)), sort_keys=True, ensure_ascii=False) + "\n"


def _plain(value):
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat(timespec="microseconds")
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    return value


def load(model, lines: Iterable[str]) -> int:
    """Insert rows as they were, numbers included; returns how many."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    made, batch = 0, []
    for line in lines:
        values = {name: _python(fields[name], value) for name, value in json.loads(line).items()}
        batch.append(model(**values))
        if len(batch) == BATCH:
            made += len(model._base_manager.bulk_create(batch))
            batch = []
    return made + len(model._base_manager.bulk_create(batch))


def _python(field, value):
    target = field.target_field if field.is_relation else field
    return None if value is None else target.to_python(value)


@contextmanager
def one_moment() -> Iterator[None]:
    """Read every table as it stood at one moment, while people go on writing."""
    if connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute("BEGIN DEFERRED")  # atomic() would take the lock of the one writer
        try:
            cursor.execute("SELECT 1 FROM django_migrations LIMIT 1")
            yield
        finally:
            cursor.execute("ROLLBACK")
