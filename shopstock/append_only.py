"""Triggers that make the ledgers append-only in the database itself, whoever writes."""

LEDGERS = ("shopstock_movement", "shopstock_containermovement")
MEASUREMENTS = ("shopstock_measurement",)  # came later
ALL = LEDGERS + MEASUREMENTS
REFUSAL = "The ledger is append-only: correct a line with a new line that names it."


def install_statements(vendor: str, tables: tuple[str, ...] = ALL) -> list[str]:
    return [statement for table in tables for statement in _INSTALL[vendor](table)]


def drop_statements(vendor: str, tables: tuple[str, ...] = ALL) -> list[str]:
    return [statement for table in tables for statement in _DROP[vendor](table)]


def _install_sqlite(table: str) -> list[str]:
    return [
        f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        for verb in ("UPDATE", "DELETE")
    ]


def _drop_sqlite(table: str) -> list[str]:
    return [f"DROP TRIGGER IF EXISTS {table}_no_{verb}" for verb in ("update", "delete")]


def _install_postgresql(table: str) -> list[str]:
    return [
        f"CREATE OR REPLACE FUNCTION {table}_append_only() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation'; END $$",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_append_only()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_append_only()",
    ]


def _drop_postgresql(table: str) -> list[str]:
    return [f"DROP TRIGGER IF EXISTS {table}_no_{what} ON {table}" for what in ("change", "truncate")]


_INSTALL = {"sqlite": _install_sqlite, "postgresql": _install_postgresql}
_DROP = {"sqlite": _drop_sqlite, "postgresql": _drop_postgresql}


def missing_triggers(connection) -> list[str]:
    """The names of guards that this database should have and has not."""
    with connection.cursor() as cursor:
        cursor.execute(_LIST[connection.vendor])
        there = {name for (name,) in cursor.fetchall()}
    return sorted(
        f"{table}_no_{what}"
        for table in ALL
        for what in _GUARDS[connection.vendor]
        if f"{table}_no_{what}" not in there
    )


_GUARDS = {"sqlite": ("update", "delete"), "postgresql": ("change", "truncate")}
_LIST = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgenabled <> 'D' AND NOT tgisinternal",
}
