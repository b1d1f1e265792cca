"""The short answers that a sending device gets: made, made before, refused, and the same key for something else."""

import pytest

from shopstock import ledger
from tests.factories import NOON

from .conftest import address_of, left_on

DEVICE = {"HTTP_ACCEPT": "application/json"}


@pytest.fixture
def send(at_table, roll):
    def post(name="scan-cut-free", **form):
        entry = {"key": "tap-1", "length": "4 m", "purpose": "sample"} | form
        return at_table.post(address_of(name, roll), entry, **DEVICE)

    return post


def test_cut_that_was_made_answers_201_with_its_balance(send, roll):
    answer = send()
    assert (answer.status_code, answer.json()["balance_after_mm"], answer.json()["replayed"]) == (201, 16_000, False)
    assert left_on(roll) == 16_000


def test_same_key_again_answers_200_with_the_same_movement(send, roll):
    first, second = send(), send()
    assert (second.status_code, second.json()["replayed"]) == (200, True)
    assert (second.json()["movement"], left_on(roll)) == (first.json()["movement"], 16_000)


def test_same_key_with_another_length_answers_422_and_takes_nothing(send, roll):
    send()
    answer = send(length="5 m")
    assert (answer.status_code, answer.json()["refused"], left_on(roll)) == (422, "KeyReused", 16_000)


def test_more_than_is_there_answers_409_with_what_to_do(send, roll):
    answer = send(length="21 m")
    assert (answer.status_code, answer.json()["refused"], left_on(roll)) == (409, "NotEnough", 20_000)
    assert "ask for a recount first" in answer.json()["message"]


def test_planned_cut_answers_the_same_way(send, planned, roll):
    planned.pop("key")
    assert [send("scan-cut", **planned).status_code for _ in range(2)] == [201, 200]
    assert send("scan-cut", **planned | {"key": "tap-2"}).status_code == 409
    assert left_on(roll) == 15_800


def test_quarantined_roll_answers_409(send, roll, clerk):
    ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON, key="wet")
    assert (send().status_code, left_on(roll)) == (409, 20_000)


def test_length_that_makes_no_sense_answers_422_and_names_the_field(send, roll):
    answer = send(length="four")
    assert (answer.status_code, list(answer.json()["fields"]), left_on(roll)) == (422, ["length"], 20_000)


def test_browser_still_gets_a_page(at_table, roll):
    entry = {"key": "tap-1", "length": "21 m", "purpose": "sample"}
    answer = at_table.post(address_of("scan-cut-free", roll), entry, HTTP_ACCEPT="text/html,*/*;q=0.8")
    assert (answer.status_code, answer["Content-Type"].split(";")[0]) == (200, "text/html")
