"""import_stock and export_stock from the command line: what they print and how they exit."""

import io

import pytest
from django.core.management import CommandError, call_command

from shopstock.models import Roll
from tests.factories import make_person, make_reinforcement, make_roll


@pytest.fixture
def roving(db):
    return make_reinforcement("WR 600")


@pytest.fixture
def stock_file(tmp_path):
    path = tmp_path / "stock.csv"
    path.write_text("material;width;length;place\nWR 600;1250 mm;50 m;Rack A\nWR 600;1250 mm;20 m;\n")
    return path


def run(*arguments) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command(*(str(argument) for argument in arguments), stdout=out, stderr=err)
    except SystemExit as end:
        return end.code, out.getvalue(), err.getvalue()
    except CommandError as error:
        return error.returncode, out.getvalue(), str(error)
    return 0, out.getvalue(), err.getvalue()


def test_import_adds_the_rolls_in_the_only_owners_name(roving, owner, stock_file):
    code, out, _ = run("import_stock", stock_file)
    assert (code, out.splitlines()[1:]) == (0, ["New places: Rack A.", "Added 2 rolls, 70.00 m."])
    assert {roll.movements.get().by for roll in Roll.objects.all()} == {owner}


def test_import_again_adds_nothing(roving, owner, stock_file):
    run("import_stock", stock_file)
    code, out, _ = run("import_stock", stock_file)
    assert (code, out.splitlines()[1:]) == (0, ["Already in the store: 2, passed over.", "Added 0 rolls, 0.00 m."])


def test_check_stores_nothing(roving, stock_file):
    code, out, _ = run("import_stock", stock_file, "--check")
    assert (code, out.splitlines()[-1]) == (0, "stock.csv would add 2 rolls, 70.00 m. Stored nothing.")
    assert Roll.objects.count() == 0


def test_wrong_lines_exit_1_and_are_all_named(roving, owner, stock_file):
    stock_file.write_text("material;width;length\nWR 600;1250 mm;-5 m\nWR 600;;5 m\n")
    assert run("import_stock", stock_file) == (
        1,
        "",
        "Line 2, length, “-5 m”: A length cannot be negative: “-5 m”.\n"
        "Line 3, width, “”: Empty. Enter the width.\n"
        "stock.csv: 2 to correct. Stored nothing.\n",
    )


def test_file_that_is_no_table_exits_1(owner, stock_file):
    stock_file.write_bytes(b"\x89PNG....")
    code, _, err = run("import_stock", stock_file)
    assert (code, err.startswith("stock.csv: This is a picture (PNG), not a table.")) == (1, True)


def test_missing_file_exits_2(owner, tmp_path):
    code, _, err = run("import_stock", tmp_path / "none.csv")
    assert (code, err.endswith("none.csv cannot be read: No such file or directory.")) == (2, True)


def test_unknown_name_exits_2(owner, stock_file):
    assert run("import_stock", stock_file, "--by", "nobody") == (2, "", "Nobody called nobody may sign in.")


def test_import_without_a_name_exits_2_when_there_are_two_owners(owner, stock_file):
    make_person("oscar", "owner")
    assert run("import_stock", stock_file) == (2, "", "Say in whose name the stock is taken in: --by NAME.")


def test_long_file_shows_progress(roving, owner, stock_file):
    lines = [f"WR 600;1250 mm;{number} mm" for number in range(1_000, 3_100)]
    stock_file.write_text("\n".join(["material;width;length", *lines]))
    out = run("import_stock", stock_file)[1].splitlines()
    assert out[:2] == ["2000 of 2100 read", "2100 of 2100 read"]
    assert out[-3:] == ["2000 of 2100 stored", "2100 of 2100 stored", "Added 2100 rolls, 4303.95 m."]


@pytest.mark.parametrize("name", ["out.csv", "out.XLSX"])
def test_export_writes_what_import_reads(clerk, tmp_path, name):
    make_roll(by=clerk)
    assert run("export_stock", tmp_path / name) == (0, f"Wrote 1 rolls and offcuts to {name}.\n", "")
    assert "Already in the store: 1, passed over." in run("import_stock", tmp_path / name, "--check")[1]


def test_export_to_another_kind_of_file_exits_2(db, tmp_path):
    assert run("export_stock", tmp_path / "out.pdf") == (2, "", "out.pdf must end in .csv or .xlsx.")


def test_export_over_a_file_exits_2_unless_forced(db, stock_file):
    message = "stock.csv is there already. Choose another name, or add --force."
    assert run("export_stock", stock_file) == (2, "", message)
    assert run("export_stock", stock_file, "--force")[0] == 0
