"""A lot or batch followed to everything it went into, on one page and in one CSV."""

import csv
import io

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from shopstock import ledger
from shopstock.models import SetAside
from tests.factories import NOON, make_container, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, simple_job


@pytest.fixture
def cut_job(owner, clerk):
    """A job whose cloth came off a roll of lot L-7 and was cut, with an offcut kept and a second roll untouched."""
    cloth = make_reinforcement("woven roving 600")
    roll = make_roll(by=clerk, reinforcement=cloth, length_mm=10_000, lot="L-7")
    job = simple_job(by=owner, reinforcement=cloth, name="Dinghy 12")
    confirmed(job, owner)
    promise = SetAside.objects.get(roll=roll)
    ledger.record_cut(roll=roll, length_mm=promise.length_mm, by=clerk, at=NOON, key=new_key(), set_aside=promise)
    ledger.record_offcut(parent=roll, width_mm=300, length_mm=900, by=clerk, at=NOON, key=new_key())
    make_roll(by=clerk, reinforcement=cloth, lot="L-8")
    return job


@pytest.fixture
def as_clerk(client, clerk):
    client.force_login(clerk)
    return client


def text(answer) -> str:
    return " ".join(strip_tags(answer.content.decode().replace("<", " <")).split())


def rows(answer) -> list[dict]:
    return list(csv.DictReader(io.StringIO(answer.content.decode())))


def test_lot_page_names_the_part_and_what_is_left(cut_job, as_clerk):
    page = text(as_clerk.get(reverse("trace-lot"), {"name": "L-7"}))
    assert "Dinghy 12: Hull" in page
    assert "8.90 m left" in page  # 10 m less the strip of 2 m, and the offcut of 0.9 m


def test_lot_csv_has_what_is_left_and_what_was_taken(cut_job, as_clerk):
    found = rows(as_clerk.get(reverse("trace-lot"), {"name": "L-7", "_export": "csv"}))
    assert [(row["what"], row["amount"], row["unit"]) for row in found] == [
        ("left", "8000", "mm"), ("left", "900", "mm"), ("cut", "2000", "mm"),
    ]  # fmt: skip
    assert (found[2]["job"], found[2]["part"], found[2]["by"]) == ("Dinghy 12", "Hull", "carla")


def test_cut_that_was_taken_back_is_no_use_of_the_lot(cut_job, as_clerk, owner):
    line = SetAside.objects.get().movements.get()
    ledger.correct(movement=line, by=owner, at=NOON, key=new_key(), reason="wrong roll")
    found = rows(as_clerk.get(reverse("trace-lot"), {"name": "L-7", "_export": "csv"}))
    assert [row["what"] for row in found] == ["left", "left"]


def test_cut_without_a_plan_is_listed_with_its_words(as_clerk, clerk):
    roll = make_roll(by=clerk, lot="L-9")
    ledger.record_cut(roll=roll, length_mm=500, by=clerk, at=NOON, key=new_key(), reason="=sample")
    found = rows(as_clerk.get(reverse("trace-lot"), {"name": "L-9", "_export": "csv"}))
    assert (found[1]["what"], found[1]["note"]) == ("cut", "'=sample")


def test_batch_page_and_csv(as_clerk, clerk):
    container = make_container(by=clerk, mass_g=20_000, batch="B-5")
    ledger.draw(container=container, mass_g=1_500, by=clerk, at=NOON, key=new_key(), reason="Dinghy 12, hull")
    page = text(as_clerk.get(reverse("trace-batch"), {"name": "B-5"}))
    found = rows(as_clerk.get(reverse("trace-batch"), {"name": "B-5", "_export": "csv"}))
    assert ("18.50 kg left" in page, "Dinghy 12, hull" in page) == (True, True)
    assert [(row["what"], row["amount"]) for row in found] == [("left", "18500"), ("drawn", "1500")]


def test_trace_finds_lots_and_batches_by_a_part_of_them(as_clerk, clerk):
    make_roll(by=clerk, lot="GX-100")
    make_container(by=clerk, batch="GX-200")
    page = text(as_clerk.get(reverse("trace"), {"q": "gx-"}))
    assert ("Lot GX-100" in page, "Batch GX-200" in page) == (True, True)


@pytest.mark.parametrize("name", ["", "nowhere", "a\x00b", "x" * 500])
@pytest.mark.parametrize("page", ["trace-lot", "trace-batch"])
def test_lot_or_batch_that_was_never_received_is_not_found(as_clerk, page, name):
    assert as_clerk.get(reverse(page), {"name": name}).status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_lot_page_asks_the_database_as_often_for_three_rolls_as_for_one(
    as_clerk, clerk, count, django_assert_num_queries
):
    for _ in range(count):
        roll = make_roll(by=clerk, lot="L-1")
        ledger.record_cut(roll=roll, length_mm=500, by=clerk, at=NOON, key=new_key(), reason="sample")
    as_clerk.get(reverse("trace"))
    with django_assert_num_queries(6):
        as_clerk.get(reverse("trace-lot"), {"name": "L-1"})
