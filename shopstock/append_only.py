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
