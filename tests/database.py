"""The one place that may drop the ledgers' triggers: emptying a test database after a test that really committed."""

from contextlib import contextmanager

from django.contrib.auth.models import Group
from django.db import connections

from shopstock.append_only import drop_statements, install_statements
from shopstock.roles import ROLES


@contextmanager
def ledgers_may_be_emptied(connection):
    _run(connection, drop_statements(connection.vendor))
    yield
    _run(connection, install_statements(connection.vendor))


def _run(connection, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def let_test_cleanup_through() -> None:
    """Wrap the flush that Django does after a committing test; nothing else gets this permission.

    On the class: a browser test runs inside an event loop, and there Django opens another connection.
    """
    operations = type(connections["default"].ops)
    flush = operations.execute_sql_flush

    def flush_without_triggers(self, sql_list):
        with ledgers_may_be_emptied(self.connection):
            flush(self, sql_list)
        Group.objects.bulk_create(Group(name=role) for role in ROLES)  # what the migrations leave in a new database

    operations.execute_sql_flush = flush_without_triggers
