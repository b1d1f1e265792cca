from io import StringIO

import pytest
from django.core.management import call_command

from shopstock.models import Roll
from tests.factories import make_container, make_roll


def run() -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    try:
        call_command("check_ledger", stdout=out, stderr=err)
    except SystemExit as stop:
        return stop.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_check_ledger_is_content_with_a_sound_store(clerk):
    make_roll(by=clerk)
    make_container(by=clerk)
    assert run() == (0, "1 rolls and 1 containers agree with the ledger.\n", "")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"length_mm": 49_000}, "49000 mm stored, but its lines add up to 50000 mm"),
        ({"set_aside_mm": 5}, "5 mm stored as set aside, but the open promises add up to 0 mm"),
        ({"faulty_mm": 7}, "7 mm stored as under faults, but the faults cover 0 mm"),
        ({"closed_on": "2026-01-01"}, "50000 mm left, but closed"),
    ],
)
def test_check_ledger_names_the_first_difference(clerk, change, words):
    roll = make_roll(by=clerk)
    Roll.objects.filter(pk=roll.pk).update(**change)
    code, _, err = run()
    assert (code, words in err, roll.code in err) == (1, True, True)
