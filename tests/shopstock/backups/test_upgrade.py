"""The first release's data, on either database, through every migration since: nothing lost, the ledger proves."""

import hashlib
import json
import zipfile

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from shopstock.backups.rows import kept_tables
from tests.shopstock.backups.other_place import OtherPlace, new_postgresql_database

pytestmark = pytest.mark.django_db
FIRST_RELEASE = {"shopstock": "0003_append_only", "jobs": "0001_tables"}
NOON = "2025-06-02T12:00:00.000000+00:00"

ROWS = {
    "auth_group": [{"id": 1, "name": "clerk"}, {"id": 2, "name": "laminator"}, {"id": 3, "name": "owner"}],
    "auth_user": [{"id": 1, "username": "carla", "password": "!", "date_joined": NOON}],
    "auth_user_groups": [{"id": 1, "user_id": 1, "group_id": 1}],
    "shopstock_reinforcement": [
        {"id": 1, "name": "WR 600", "form": "woven_roving", "fibre": "e_glass", "areal_weight_gsm": "600.00",
         "width_mm": 1250, "roll_length_mm": 50_000},
    ],
    "shopstock_roll": [
        {"id": 1, "code": "B000008", "reinforcement_id": 1, "width_mm": 1250, "label_length_mm": 50_000,
         "length_mm": 44_000, "set_aside_mm": 4_000, "received_on": "2025-06-02", "lot": "L1"},
        {"id": 2, "code": "B00001L", "reinforcement_id": 1, "width_mm": 1250, "label_length_mm": 10_000,
         "length_mm": 0, "received_on": "2025-06-02", "closed_on": "2025-06-03"},
    ],
    "shopstock_setaside": [
        {"id": 1, "roll_id": 1, "number": 1, "length_mm": 4_000, "purpose": "Hull 7", "by_id": 1, "at": NOON},
    ],
    "shopstock_movement": [
        {"id": 1, "roll_id": 1, "kind": "receipt", "delta_mm": 50_000, "balance_after_mm": 50_000, "key": "a"},
        {"id": 2, "roll_id": 2, "kind": "receipt", "delta_mm": 10_000, "balance_after_mm": 10_000, "key": "b"},
        {"id": 3, "roll_id": 1, "kind": "cut", "delta_mm": -6_000, "balance_after_mm": 44_000, "key": "c"},
        {"id": 4, "roll_id": 2, "kind": "loss", "delta_mm": -10_000, "balance_after_mm": 0, "key": "d"},
    ],
    "shopstock_chemical": [{"id": 1, "name": "resin", "kind": "polyester", "density_liquid": "1.100"}],
    "shopstock_container": [
        {"id": 1, "code": "C000005", "chemical_id": 1, "batch": "B7", "label_date": "2026-01-01", "mass_g": 18_500,
         "received_on": "2025-06-02"},
    ],
    "shopstock_containermovement": [
        {"id": 1, "container_id": 1, "kind": "receipt", "delta_g": 20_000, "balance_after_g": 20_000, "key": "e"},
        {"id": 2, "container_id": 1, "kind": "draw", "delta_g": -1_500, "balance_after_g": 18_500, "key": "f"},
    ],
}  # fmt: skip
OF_LINES = {"happened_at": NOON, "recorded_at": NOON, "by_id": 1, "reason": "first release"}


def first_release(file) -> None:
    """Write the backup that the first release would have written of ROWS."""
    loader = MigrationLoader(connection)
    latest = {node for node in loader.graph.leaf_nodes() if node[0] not in FIRST_RELEASE}
    targets = {*FIRST_RELEASE.items(), *latest}
    applied = {node for target in targets for node in loader.graph.forwards_plan(target)}
    tables = kept_tables(loader.project_state(sorted(targets)).apps)
    parts = {f"rows/{name}": _lines(tables[name], ROWS.get(name, [])) for name in tables}
    parts["settings.json"] = b"{}"
    manifest = {
        "format": 1,
        "made_at": timezone.now().isoformat(),
        "database": "sqlite",
        "migrations": sorted(applied),
        "parts": {name: {"sha256": hashlib.sha256(text).hexdigest(), "pieces": 1} for name, text in parts.items()},
    }
    with zipfile.ZipFile(file, "w") as archive:
        for name, text in (parts | {"manifest.json": json.dumps(manifest).encode()}).items():
            archive.writestr(name, text)


def _lines(model, rows: list[dict]) -> bytes:
    """Rows with every column that the table had then, the others at their defaults."""
    text = ""
    for row in rows:
        given = row | (OF_LINES if "balance_after" in str(row) else {})
        columns = {field.attname: field for field in model._meta.concrete_fields}
        values = {
            name: given[name] if name in given else _plain(field.get_default()) for name, field in columns.items()
        }
        text += json.dumps(values, sort_keys=True, ensure_ascii=False) + "\n"
    return text.encode()


def _plain(value):
    return value if isinstance(value, (int, str, float, list, dict, bool, type(None))) else str(value)


def test_first_releases_data_comes_through_every_migration(tmp_path):
    """Into a new database of the kind that these tests run on."""
    first_release(tmp_path / "first.backup")
    if connection.vendor == "sqlite":
        _upgrade(OtherPlace(tmp_path), tmp_path)
    else:
        with new_postgresql_database() as url:
            _upgrade(OtherPlace(tmp_path, url), tmp_path)


def _upgrade(place: OtherPlace, folder) -> None:
    place.must("restore", folder / "first.backup")
    place.must("migrate", "--check")
    place.must("check_ledger", "--all")
    place.must("backup", folder / "today.backup")
    with zipfile.ZipFile(folder / "today.backup") as archive:
        for table, rows in ROWS.items():
            now = [json.loads(line) for line in archive.read(f"rows/{table}").splitlines()]
            assert [{name: row[name] for name in old} for row, old in zip(now, rows, strict=True)] == rows
        lines = [json.loads(line) for line in archive.read("rows/shopstock_movement").splitlines()]
    assert all(len(line["link"]) == 64 for line in lines)
