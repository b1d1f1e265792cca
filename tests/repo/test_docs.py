"""What the docs claim is there: paths, names, commands, pictures."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TEST_COMMAND = "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest"
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "manage.py", "pyproject.toml",
    "shopstock", "jobs", "labels", "tests", "fixtures",
}  # fmt: skip


def code_spans(text: str) -> list[str]:
    return re.findall(r"`([^`\n]+)`", text)


def where_is_rows() -> list[tuple[str, str]]:
    table = GUIDE.split("## Where is …?")[1].split("\n## ")[0]
    return [tuple(cell.strip() for cell in row.strip("| ").split("|")) for row in table.strip().splitlines()[2:]]


PATHS = sorted({span for span in code_spans(GUIDE) + code_spans(README) if re.fullmatch(r"[\w.-]+(/[\w.-]+)+/?", span)})


@pytest.mark.parametrize("path", PATHS)
def test_path_that_the_docs_name_exists(path):
    assert (ROOT / path).exists() or path.startswith(".venv/")


@pytest.mark.parametrize("row", where_is_rows(), ids=lambda row: row[0])
def test_name_that_the_guide_gives_stands_in_its_file(row):
    spans = code_spans(row[1])
    files = [ROOT / span for span in spans if (ROOT / span).is_file()]
    names = [span for span in spans if re.fullmatch(r"[A-Za-z_]+", span)]
    text = "".join(file.read_text(encoding="utf-8") for file in files)
    assert [name for name in names if name not in text] == []


@pytest.mark.parametrize("command", sorted(set(re.findall(r"manage\.py (\w+)", README + GUIDE))))
def test_command_that_the_docs_name_exists(command):
    assert command in get_commands()


@pytest.mark.parametrize(
    "picture", re.findall(r'!\[[^\]]+\]\(([^)]+)\)|<img src="([^"]+)" [^>]*alt="[^"]+"', README), ids="".join
)
def test_picture_in_the_readme_exists_and_has_a_text(picture):
    assert (ROOT / "".join(picture)).stat().st_size > 1_000


def test_readme_opens_with_one_paragraph_and_then_the_two_commands():
    first, then = README.split("\n\n", 2)[1:]
    assert len(first.split()) > 60
    assert then.startswith("## Try it")
    assert "pip install -e . && .venv/bin/python manage.py demo\n" in README
    assert TEST_COMMAND in README


def test_ci_runs_the_readmes_test_command():
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert TEST_COMMAND.replace("pip install", "pip install -q") in run


def test_top_level_holds_only_what_belongs_there():
    import subprocess

    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    top = {line.split("/")[0] for line in listed.splitlines()}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL
