"""Two people at the same instant, each on a database connection of their own, really committing."""

import threading

import pytest
from django.db import connection, connections

from shopstock import ledger
from shopstock.ledger_check import differences
from shopstock.models import Container, Movement, Roll, SetAside
from tests.factories import (
    NOON,
    make_chemical,
    make_container,
    make_person,
    make_place,
    make_reinforcement,
    make_roll,
    new_key,
)

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def people(transactional_db, tmp_path):
    return make_person("luis", "laminator"), make_person("ana", "laminator")


def at_the_same_instant(*wishes, refusals=ledger.LedgerError) -> list:
    """Run each wish in a thread of its own, all let go at once; returns what each answered or raised."""
    gate = threading.Barrier(len(wishes))
    answers: list = [None] * len(wishes)

    def run(number, wish):
        try:
            gate.wait()
            answers[number] = wish()
        except refusals as refusal:
            answers[number] = refusal
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(wishes)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def cut(roll, length_mm, by, key):
    return lambda: ledger.record_cut(roll=roll, length_mm=length_mm, by=by, at=NOON, key=key)


def test_two_cuts_that_cannot_both_be_had_end_in_one_cut_and_one_refusal(people):
    roll = make_roll(by=people[0], length_mm=5_000)
    answers = at_the_same_instant(cut(roll, 3_000, people[0], "a"), cut(roll, 3_000, people[1], "b"))
    roll.refresh_from_db()
    assert sorted(type(answer).__name__ for answer in answers) == ["Movement", "NotEnough"]
    assert (roll.length_mm, list(differences())) == (2_000, [])


def test_many_cuts_of_two_people_are_all_kept(people):
    roll = make_roll(by=people[0], length_mm=40_000)

    def many(by, prefix):
        return lambda: [cut(roll, 1_000, by, f"{prefix}{number}")() for number in range(20)]

    at_the_same_instant(many(people[0], "a"), many(people[1], "b"))
    roll.refresh_from_db()
    assert (roll.length_mm, roll.is_open, roll.movements.count(), list(differences())) == (0, False, 41, [])


def test_the_same_tap_on_two_connections_is_one_cut(people):
    roll = make_roll(by=people[0], length_mm=5_000)
    wish = cut(roll, 1_000, people[0], "tap")
    first, second = at_the_same_instant(wish, wish)
    roll.refresh_from_db()
    assert (first, roll.length_mm) == (second, 4_000)


def test_the_same_receipt_on_two_connections_is_one_roll(people):
    reinforcement = make_reinforcement()

    def receive():
        return make_roll(by=people[0], reinforcement=reinforcement, key="form")

    first, second = at_the_same_instant(receive, receive)
    assert (first, Roll.objects.count(), Movement.objects.count()) == (second, 1, 1)


def test_two_plans_for_the_same_cloth_cannot_both_have_it(people):
    rolls = [make_roll(by=people[0], length_mm=5_000) for _ in range(2)]

    def confirm(order):
        promises = [ledger.Promise(roll, 3_000, "plan") for roll in order]
        return lambda: ledger.set_aside(promises=promises, by=people[0], at=NOON)

    answers = at_the_same_instant(confirm(rolls), confirm(rolls[::-1]))
    assert sorted(type(answer).__name__ for answer in answers) == ["NotEnough", "list"]
    assert (SetAside.objects.count(), list(differences())) == (2, [])


def test_a_cut_and_a_plan_at_the_same_instant_leave_a_sound_ledger(people):
    roll = make_roll(by=people[0], length_mm=5_000)
    answers = at_the_same_instant(
        cut(roll, 3_000, people[0], new_key()),
        lambda: ledger.set_aside(promises=[ledger.Promise(roll, 3_000, "plan")], by=people[1], at=NOON),
    )
    assert sum(isinstance(answer, ledger.NotEnough) for answer in answers) == 1
    assert list(differences()) == []


def test_peroxide_and_promoter_put_into_one_cabinet_at_once_do_not_both_stand_there(people):
    cabinet = make_place("Cabinet")
    cans = [make_container(by=people[0], chemical=make_chemical(kind=kind)) for kind in ("peroxide", "promoter")]

    def put(can):
        wish = {"container": can, "place": cabinet, "by": people[0], "at": NOON, "key": can.code}
        return lambda: ledger.move_container(**wish)

    answers = at_the_same_instant(*map(put, cans))
    assert sorted(type(answer).__name__ for answer in answers) == ["ContainerMovement", "MayNotStandThere"]
    assert Container.objects.filter(place=cabinet).count() == 1


def test_the_test_runs_on_a_database_that_two_connections_share():
    assert not connection.is_in_memory_db() if connection.vendor == "sqlite" else True
