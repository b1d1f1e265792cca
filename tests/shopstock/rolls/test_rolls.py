"""The list of rolls and the page of one."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from tests.factories import NOON, make_place, make_reinforcement, make_roll, new_key


def listed(client, **query) -> list[str]:
    table = client.get(reverse("rolls"), query).context["table"]
    return [row.record.code for row in table.rows]


def text_of(page) -> str:
    return " ".join(page.content.decode().split())


@pytest.fixture
def stock(client, clerk):
    """Three rolls that differ, seen by the clerk."""
    client.force_login(clerk)
    mat = make_reinforcement("mat 300", form="mat")
    return {
        "mat": make_roll(by=clerk, reinforcement=mat, place=make_place("Shelf 2"), lot="ABC"),
        "bad": make_roll(by=clerk, quarantine_reason="wet"),
        "used": used_up(make_roll(by=clerk, length_mm=5_000), clerk),
    }


def used_up(roll, by):
    ledger.record_cut(roll=roll, length_mm=roll.length_mm, by=by, at=NOON, key=new_key())
    roll.refresh_from_db()
    return roll


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({}, {"mat", "bad"}),
        ({"shown": "used"}, {"used"}),
        ({"shown": "all"}, {"mat", "bad", "used"}),
        ({"words": "abc shelf"}, {"mat"}),
        ({"form": "mat"}, {"mat"}),
        ({"condition": "quarantined"}, {"bad"}),
        ({"kind": "offcut"}, set()),
        ({"words": "nothing like it"}, set()),
    ],
)
def test_list_shows_what_the_filter_leaves(client, stock, query, names):
    assert set(listed(client, **query)) == {stock[name].code for name in names}


def test_list_filters_by_reinforcement_and_place(client, stock):
    mat = stock["mat"]
    assert listed(client, reinforcement=mat.reinforcement_id, place=mat.place_id) == [mat.code]


def test_filter_value_that_does_not_exist_is_named_and_shows_the_racks(client, stock):
    page = client.get(reverse("rolls"), {"place": "99999", "form": "gold"})
    assert set(page.context["filter"].form.errors) == {"place", "form"}
    assert page.status_code == 200


def queries_of(client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as caught:
        client.get(address)
    return len(caught)


def test_list_asks_the_database_the_same_for_one_row_and_for_three(client, clerk):
    client.force_login(clerk)
    make_roll(by=clerk, place=make_place("Rack A"))
    one = queries_of(client, reverse("rolls"))
    for name in ("Rack B", "Rack C"):
        make_roll(by=clerk, place=make_place(name))
    assert queries_of(client, reverse("rolls")) == one


def test_list_is_exported_as_filtered(client, stock):
    answer = client.get(reverse("rolls"), {"condition": "quarantined", "_export": "csv"})
    (row,) = csv.DictReader(io.StringIO(answer.content.decode()))
    assert row == {
        "Code": stock["bad"].code,
        "Kind": "roll",
        "Reinforcement": stock["bad"].reinforcement.name,
        "Areal weight (g/m²)": "600.00",
        "Width (mm)": "1250",
        "On the roll (mm)": "50000",
        "Free (mm)": "50000",
        "Lot": "L2301",
        "Place": "",
        "Condition": "quarantined",
    }


def test_list_shows_free_less_than_on_the_roll_when_some_is_set_aside(client, stock, owner):
    promise(stock["mat"], 10_000, owner)
    row = next(row for row in client.get(reverse("rolls")).context["table"].rows if row.record == stock["mat"])
    assert (row.get_cell("length_mm"), row.get_cell("free_length_mm")) == ("50.00 m", "40.00 m")


def promise(roll, length_mm, by, purpose="Hull 7"):
    return ledger.set_aside(promises=[ledger.Promise(roll, length_mm, purpose)], by=by, at=NOON)[0]


def page_of(client, roll):
    return client.get(reverse("roll", args=[roll.code]))


def test_roll_page_tells_what_is_set_aside_in_the_order_of_cutting(client, stock, owner, clerk):
    roll = stock["mat"]
    ledger.report_fault(roll=roll, fault=FoundFault(4_000, 4_500, "wet"), by=clerk, at=NOON, key=new_key())
    promise(roll, 4_000, owner)
    promise(roll, 3_000, owner, "Deck 2")
    found = page_of(client, roll).context["promises"]
    assert [(p.purpose, start, end) for p, start, end in found] == [("Hull 7", 0, 4_000), ("Deck 2", 4_500, 7_500)]


def test_roll_page_tells_the_longest_clean_stretch_and_faults_from_the_free_end(client, stock, clerk):
    roll = stock["mat"]
    ledger.report_fault(roll=roll, fault=FoundFault(30_000, 31_000, "oil"), by=clerk, at=NOON, key=new_key())
    ledger.record_cut(roll=roll, length_mm=5_000, by=clerk, at=NOON, key=new_key())
    page = page_of(client, roll)
    assert [(start, end) for _, start, end in page.context["faults"]] == [(25_000, 26_000)]
    assert page.context["longest_clean_mm"] == 25_000


def test_roll_page_warns_of_quarantine_with_its_reason(client, stock):
    assert "Do not use: wet." in text_of(page_of(client, stock["bad"]))


@pytest.mark.parametrize(("lying", "words"), [("folded", "It lies folded."), ("on_end", "It stands on end.")])
def test_roll_page_warns_of_how_it_lies(client, clerk, lying, words):
    client.force_login(clerk)
    assert words in text_of(page_of(client, make_roll(by=clerk, lying=lying)))


def test_roll_page_shows_the_measured_weight_against_the_nominal_one(client, clerk):
    client.force_login(clerk)
    light = make_roll(by=clerk, gross_g=31_000, tube_g=1_000)
    page = text_of(page_of(client, light))
    assert "480 g/m² · 14.16 oz/yd² measured, 600 g/m² · 17.70 oz/yd² nominal, −20.0 %: outside ±10 %" in page
    assert "Its weight is outside the data sheet’s tolerance" in page


def test_measured_weight_stays_what_it_was_at_receipt_after_a_cut(client, clerk):
    client.force_login(clerk)
    roll = make_roll(by=clerk, gross_g=38_500, tube_g=1_000)
    ledger.record_cut(roll=roll, length_mm=20_000, by=clerk, at=NOON, key=new_key())
    assert "600 g/m² · 17.70 oz/yd² measured" in text_of(page_of(client, roll))


def test_roll_page_links_parent_and_offcuts(client, stock, clerk):
    roll = stock["mat"]
    ledger.record_cut(roll=roll, length_mm=2_000, by=clerk, at=NOON, key=new_key())
    piece = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_200, by=clerk, at=NOON, key=new_key())
    assert reverse("roll", args=[piece.code]) in page_of(client, roll).content.decode()
    assert reverse("roll", args=[roll.code]) in page_of(client, piece).content.decode()


def test_roll_page_shows_the_ledger_newest_first_with_signs(client, stock, clerk):
    roll = stock["mat"]
    ledger.record_cut(roll=roll, length_mm=2_000, by=clerk, at=NOON, key=new_key(), reason="Hull 7")
    rows = page_of(client, roll).context["table"].rows
    shown = [[row.get_cell(name) for name in ("kind", "delta_mm", "balance_after_mm", "reason")] for row in rows]
    assert shown == [["cut", "−2.00 m", "48.00 m", "Hull 7"], ["received", "+50.00 m", "50.00 m", ""]]


def test_ledger_of_a_roll_is_exported(client, stock):
    answer = client.get(reverse("roll", args=[stock["mat"].code]), {"_export": "csv"})
    (row,) = csv.DictReader(io.StringIO(answer.content.decode()))
    assert (row["What"], row["Change (mm)"], row["Left (mm)"], row["Who"]) == ("received", "50000", "50000", "carla")


def test_roll_page_asks_the_database_the_same_for_one_line_and_for_three(client, stock, owner):
    client.force_login(owner)
    roll = stock["mat"]

    address = reverse("roll", args=[roll.code])
    one = queries_of(client, address)
    for _ in range(2):
        ledger.record_cut(roll=roll, length_mm=1_000, by=owner, at=NOON, key=new_key())
    assert queries_of(client, address) == one


@pytest.mark.parametrize("change", [str.lower, lambda code: f"{code[:3]}-{code[3:]}"])
def test_roll_page_takes_the_code_as_typed(client, stock, change):
    assert client.get(reverse("roll", args=[change(stock["mat"].code)])).context["roll"] == stock["mat"]


@pytest.mark.parametrize("code", ["B000009", "B000008", "nonsense", "\x00"])
def test_roll_page_of_no_roll_is_not_found(client, clerk, code):
    client.force_login(clerk)
    assert client.get(reverse("roll", args=[code])).status_code == 404


@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_rolls_may_be_looked_at_with_a_role(client, request, stock, role, status):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("rolls")).status_code == status
    assert page_of(client, stock["mat"]).status_code == status


ADDRESSES = {"fault", "move", "loss", "offcut", "quarantine", "recount"}


@pytest.mark.parametrize(
    ("role", "offered"),
    [("clerk", ADDRESSES), ("laminator", ADDRESSES - {"recount"}), ("owner", ADDRESSES | {"take-back"})],
)
def test_roll_page_offers_what_the_role_may_do(client, request, stock, role, offered):
    client.force_login(request.getfixturevalue(role))
    page = page_of(client, stock["mat"]).content.decode()
    names = [*ADDRESSES, "release", "take-back"]
    assert {name for name in names if f"/{name}/" in page} == offered


def test_release_is_offered_to_the_owner_of_a_quarantined_roll(client, stock, owner):
    client.force_login(owner)
    page = page_of(client, stock["bad"]).content.decode()
    assert reverse("roll-release", args=[stock["bad"].code]) in page
    assert reverse("roll-quarantine", args=[stock["bad"].code]) not in page
