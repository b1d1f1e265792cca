"""Imports go down only, and one package writes the ledger."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("shopstock", "jobs", "labels")
SHARED = {"models", "ledger", "calc"}  # what other packages may use, besides the plain modules below
PUTS_TOGETHER = {"management", "demo"}  # commands and the demo may use anything; nothing uses them
NOT_FEATURES = SHARED | {"migrations", "templatetags", "templates", "static", "drawing"} | PUTS_TOGETHER
CALC_MAY_USE = {"numpy", "highspy", "qrcode", "shapely", "svgelements", "ezdxf", "spyrrow", "biip"}


def sources(*parts: str) -> list[Path]:
    return sorted(path for part in parts for path in (ROOT / part).rglob("*.py"))


def imports(path: Path) -> Iterator[str]:
    """Every module a file imports, relative ones spelled out."""
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            base = package[: len(package) - node.level + 1]
            yield from (".".join([*base, node.module] if node.module else [*base, a.name]) for a in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def feature(module: str) -> str | None:
    """`shopstock.rolls` for anything inside a feature folder, None for what is shared."""
    parts = module.split(".")
    if len(parts) < 2 or parts[0] not in PACKAGES or parts[1] in NOT_FEATURES:
        return None
    return ".".join(parts[:2]) if (ROOT / parts[0] / parts[1]).is_dir() else None


def feature_of(path: Path) -> str | None:
    return feature(".".join(path.relative_to(ROOT).with_suffix("").parts))


def broken(path: Path) -> list[str]:
    """What this file imports that it may not, with the reason."""
    package, here = path.relative_to(ROOT).parts[0], feature_of(path)
    layer = path.relative_to(ROOT).parts[1] if len(path.relative_to(ROOT).parts) > 2 else ""
    if layer in PUTS_TOGETHER:
        return []
    wrong = []
    for module in imports(path):
        top, target = module.split(".")[0], feature(module)
        if top in PACKAGES and top != package and top != "shopstock":
            wrong.append(f"{module}: {package} may not use {top}")
        if top in PACKAGES and module.split(".")[1:2] and module.split(".")[1] in PUTS_TOGETHER:
            wrong.append(f"{module}: what puts the pieces together is used by nobody")
        if target and target != here:
            wrong.append(f"{module}: a feature may be used by nobody else")
        if layer == "calc" and top not in CALC_MAY_USE and not _plain(module, package):
            wrong.append(f"{module}: calculations use numbers only")
        if layer == "models" and top in PACKAGES and ".models" not in module and ".calc" not in module:
            wrong.append(f"{module}: tables use tables and calculations only")
        if layer == "ledger" and top in PACKAGES and module.split(".")[1] not in SHARED:
            wrong.append(f"{module}: the ledger uses tables and calculations only")
    return wrong


def _plain(module: str, package: str) -> bool:
    top = module.split(".")[0]
    if top in PACKAGES:
        return f"{package}.calc" in module or "shopstock.calc" in module
    return top in __import__("sys").stdlib_module_names


@pytest.mark.parametrize("path", sources(*PACKAGES), ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_go_down_only(path):
    assert broken(path) == []


def creates_movements(path: Path) -> bool:
    names = {"Movement", "ContainerMovement"}
    for node in ast.walk(ast.parse(path.read_text())):
        if not (isinstance(node, ast.Call) and isinstance(node.func, (ast.Attribute, ast.Name))):
            continue
        words = ast.unparse(node.func).split(".")
        if names & set(words) and (words[-1] in names or words[-1] in ("create", "bulk_create", "get_or_create")):
            return True
    return False


def test_only_the_ledger_creates_movements():
    makers = [path.relative_to(ROOT) for path in sources(*PACKAGES) if creates_movements(path)]
    assert makers
    assert [maker for maker in makers if maker.parts[:2] != ("shopstock", "ledger")] == []


@pytest.mark.parametrize(
    ("place", "code", "reason"),
    [
        ("shopstock/rolls/views.py", "from jobs.models import Job", "shopstock may not use jobs"),
        ("labels/scan/views.py", "from jobs.models import Job", "labels may not use jobs"),
        ("jobs/cutting/views.py", "from shopstock.rolls.forms import X", "a feature may be used by nobody else"),
        ("shopstock/rolls/views.py", "from ..today import views", "a feature may be used by nobody else"),
        ("shopstock/rolls/views.py", "from shopstock.demo.store import X", "is used by nobody"),
        ("shopstock/calc/units.py", "from django.db import models", "calculations use numbers only"),
        ("shopstock/calc/units.py", "from shopstock.models import Roll", "calculations use numbers only"),
        ("shopstock/models/roll.py", "from shopstock.ledger import draw", "tables use tables and calculations only"),
        (
            "shopstock/ledger/lines.py",
            "from shopstock.queries import x",
            "the ledger uses tables and calculations only",
        ),
    ],
)
def test_the_rule_itself_sees_a_wrong_import(tmp_path, monkeypatch, place, code, reason):
    for name in ("shopstock/rolls", "shopstock/today", "jobs/cutting", "labels/scan"):
        (tmp_path / name).mkdir(parents=True, exist_ok=True)
    monkeypatch.setattr(f"{__name__}.ROOT", tmp_path)
    (tmp_path / place).parent.mkdir(parents=True, exist_ok=True)
    (tmp_path / place).write_text(code)
    assert any(reason in words for words in broken(tmp_path / place))


def test_the_rule_itself_sees_a_movement_made_elsewhere(tmp_path):
    (tmp_path / "views.py").write_text("Movement.objects.create(roll=roll)")
    assert creates_movements(tmp_path / "views.py")
