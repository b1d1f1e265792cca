"""A line changed, taken out, put in or swapped behind the ledger's back is found and named."""

import pytest
from django.db import connection

from shopstock import ledger
from shopstock.ledger_check import differences
from shopstock.models import ContainerMovement, Movement, Roll
from tests.database import ledgers_may_be_emptied
from tests.factories import NOON, make_container, make_roll, new_key


@pytest.fixture
def roll(clerk) -> Roll:
    roll = make_roll(by=clerk)
    for length_mm in (1_000, 2_000, 3_000):
        ledger.record_cut(roll=roll, length_mm=length_mm, by=clerk, at=NOON, key=new_key(), reason="sample")
    roll.refresh_from_db()
    return roll


@pytest.fixture
def behind_the_back():
    """The guards of the database taken off, as somebody with its password might; put on again afterwards."""
    with ledgers_may_be_emptied(connection):
        yield


def lines(roll):
    return list(roll.movements.order_by("pk"))


def found() -> list[str]:
    return [words for words in differences() if not words.startswith("The guard")]


def test_ledger_as_written_has_no_differences(roll, clerk):
    make_container(by=clerk)
    assert list(differences()) == []
    assert (roll.line_count, roll.last_link) == (4, lines(roll)[-1].link)


@pytest.mark.parametrize(
    "change",
    [
        {"reason": "job 7"},
        {"key": "another"},
        {"kind": "loss"},
        {"happened_at": NOON.replace(day=1)},
        {"recorded_at": NOON.replace(hour=11)},
        {"delta_mm": -999},
    ],
    ids=lambda change: next(iter(change)),
)
def test_line_that_was_changed_is_named(roll, behind_the_back, change):
    line = lines(roll)[1]
    Movement.objects.filter(pk=line.pk).update(**change)
    assert f"line {line.pk} (" in found()[0]
    assert found()[0].startswith(str(roll))


def test_line_given_to_another_person_is_named(roll, behind_the_back, owner):
    line = lines(roll)[2]
    Movement.objects.filter(pk=line.pk).update(by=owner)
    assert [f"line {line.pk} (" in words for words in found()] == [True]


def test_last_line_taken_out_with_its_length_put_back_is_found(roll, behind_the_back):
    last = lines(roll)[-1]
    Movement.objects.filter(pk=last.pk).delete()
    Roll.objects.filter(pk=roll.pk).update(length_mm=roll.length_mm - last.delta_mm)
    assert "4 lines were written, 3 are there: some were taken out." in found()[0]


def test_line_in_the_middle_taken_out_is_found(roll, behind_the_back):
    _, middle, after, _ = lines(roll)
    Movement.objects.filter(pk=middle.pk).delete()
    assert "some were taken out" in found()[0]
    assert f"line {after.pk} (" in found()[1]


def test_line_put_in_is_found(roll, behind_the_back, clerk):
    Movement.objects.create(
        roll=roll, kind="move", delta_mm=0, balance_after_mm=44_000, happened_at=NOON, recorded_at=NOON, by=clerk,
        key="put-in", link=roll.last_link,
    )  # fmt: skip
    assert "4 lines were written, 5 are there: some were put in." in found()[0]


def test_roll_whose_code_was_swapped_is_found(roll, behind_the_back):
    Roll.objects.filter(pk=roll.pk).update(code="SWAPPED")
    assert "changed behind the program's back" in found()[0]


def test_line_of_masses_that_was_changed_is_named(clerk, behind_the_back):
    container = make_container(by=clerk)
    ledger.draw(container=container, mass_g=500, by=clerk, at=NOON, key="draw", reason="mix 1")
    ContainerMovement.objects.filter(key="draw").update(reason="mix 2")
    line = ContainerMovement.objects.get(key="draw")
    assert [f"container {container.code}: line {line.pk} (" in words for words in found()] == [True]


def test_missing_guard_is_named(roll, behind_the_back):
    assert any(words.startswith("The guard shopstock_movement_no_") for words in differences())
