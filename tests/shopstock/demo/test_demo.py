from io import StringIO

import pytest
from django.core.management import call_command

from shopstock.ledger_check import differences
from shopstock.models import Movement, Roll, SetAside, Shop
from tests.factories import make_person, make_roll

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def own_data_folder(settings, tmp_path, monkeypatch):
    monkeypatch.setattr("shopstock.demo.main_job.LABELS_FILE", tmp_path / "labels.pdf")


def run() -> tuple[int, list[str], str]:
    out, err = StringIO(), StringIO()
    try:
        call_command("demo", "--once", stdout=out, stderr=err)
    except SystemExit as stop:
        return stop.code, out.getvalue().splitlines(), err.getvalue()
    return 0, out.getvalue().splitlines(), err.getvalue()


def test_demo_walks_the_main_job_and_says_so(tmp_path):
    code, lines, _ = run()
    told = [line.split()[0] for line in lines]
    assert code == 0
    assert list(dict.fromkeys(told)) == [
        "Received", "Quarantined", "Labelled", "Planned", "Set", "Cut", "Left", "To",
    ]  # fmt: skip
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")


def test_demo_leaves_a_sound_ledger_with_one_cut_and_the_rest_set_aside():
    run()
    assert list(differences()) == []
    assert Movement.objects.filter(kind="cut").count() == 1
    assert SetAside.objects.filter(state="open").count() == SetAside.objects.count() - 1 > 0


def test_demo_run_again_changes_nothing():
    run()
    before = (Roll.objects.count(), Movement.objects.count(), SetAside.objects.count())
    code, lines, _ = run()
    assert (code, "stays as you left it" in lines[0]) == (0, True)
    assert (Roll.objects.count(), Movement.objects.count(), SetAside.objects.count()) == before


def test_demo_refuses_a_real_shop_and_touches_nothing():
    make_roll(by=make_person("carla", "clerk"))
    code, lines, words = run()
    assert (code, lines) == (2, [])
    assert "Refused: this database holds a real shop" in words
    assert (Roll.objects.count(), Shop.objects.filter(is_demo=True).count()) == (1, 0)
