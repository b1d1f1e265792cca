"""One label of one roll or container, as a picture and as a PDF."""

import io

import pypdfium2
import pytest
from django.urls import reverse
from PIL import Image

from shopstock import ledger
from shopstock.calc.stock_code import group_code
from tests.factories import (
    NOON,
    make_chemical,
    make_container,
    make_place,
    make_reinforcement,
    make_roll,
    new_key,
)
from tests.labels.reading import texts

from .conftest import read_pdf

NAMES = ["roll-label-png", "roll-label-pdf", "container-label-png", "container-label-pdf"]


@pytest.fixture
def items(clerk):
    return {"roll": make_roll(by=clerk), "container": make_container(by=clerk)}


def get(client, name, items, **query):
    item = items[name.partition("-")[0]]
    return client.get(reverse(name, args=[item.code]), query)


def test_picture_of_a_rolls_label_reads_back(at_desk, items):
    answer = get(at_desk, "roll-label-png", items)
    picture = Image.open(io.BytesIO(answer.content))
    assert answer["Content-Type"] == "image/png"
    assert set(texts(picture)) == {f"HTTP://127.0.0.1:8000/R/{items['roll'].code}"}


def test_picture_of_a_containers_label_reads_back(at_desk, items):
    picture = Image.open(io.BytesIO(get(at_desk, "container-label-png", items).content))
    assert set(texts(picture)) == {f"HTTP://127.0.0.1:8000/C/{items['container'].code}"}


def page_size_mm(answer) -> tuple[int, int]:
    page = pypdfium2.PdfDocument(io.BytesIO(answer.content))[0]
    return tuple(round(points / 72 * 25.4) for points in page.get_size())


def test_sticker_is_one_page_of_100_by_50_mm_unless_another_is_chosen(at_desk, items):
    sizes = [
        page_size_mm(get(at_desk, "roll-label-pdf", items, **query))
        for query in ({}, {"medium": "label-printer-57-x-32-mm"})
    ]
    assert sizes == [(100, 50), (57, 32)]


def test_sticker_of_a_container_reads_back(at_desk, items):
    pages = read_pdf(get(at_desk, "container-label-pdf", items))
    assert [set(page) for page in pages] == [{f"HTTP://127.0.0.1:8000/C/{items['container'].code}"}]


def words_on(answer) -> str:
    page = pypdfium2.PdfDocument(io.BytesIO(answer.content))[0]
    return " ".join(page.get_textpage().get_text_range().split())


def test_sticker_of_a_roll_says_all_that_the_store_knows(at_desk, items):
    roll = items["roll"]
    said = words_on(get(at_desk, "roll-label-pdf", items))
    for part in (
        group_code(roll.code),
        roll.reinforcement.name,
        "600 g/m² · 17.70 oz/yd²",
        "1250 mm",
        "L2301",
        "50.00 m on 2026-03-02",
        "along length",
        "keep on the tube, do not fold",
    ):
        assert part in said


def test_sticker_of_mat_shows_no_warp(at_desk, clerk):
    mat = make_reinforcement("mat 450", form="mat", weave="none")
    mat.layers.update(angle_deg=None)
    roll = make_roll(by=clerk, reinforcement=mat)
    assert "warp" not in words_on(at_desk.get(reverse("roll-label-pdf", args=[roll.code])))


def test_sticker_of_an_offcut_says_that_it_is_one(at_desk, items, clerk):
    offcut = ledger.record_offcut(parent=items["roll"], width_mm=400, length_mm=1_200, by=clerk, at=NOON, key=new_key())
    said = words_on(at_desk.get(reverse("roll-label-pdf", args=[offcut.code])))
    assert "Offcut" in said
    assert "400 mm" in said
    assert "on the tube" not in said


def test_small_code_in_the_address_is_the_same_label(at_desk, items):
    answer = at_desk.get(reverse("roll-label-png", args=[items["roll"].code.lower()]))
    assert answer.content == get(at_desk, "roll-label-png", items).content


@pytest.mark.parametrize("code", ["B000008", "B000009", "x", "\0"])
@pytest.mark.parametrize("name", NAMES)
def test_label_of_an_unknown_code_is_not_found(at_desk, name, code):
    assert at_desk.get(reverse(name, args=[code])).status_code == 404


@pytest.mark.parametrize("name", NAMES)
def test_label_on_an_unknown_sheet_is_not_found(at_desk, items, name):
    assert get(at_desk, name, items, medium="napkin").status_code == 404


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("person", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_labels_are_printed_by_every_role_and_nobody_else(client, items, request, name, person, status):
    client.force_login(request.getfixturevalue(person))
    assert get(client, name, items).status_code == status


@pytest.mark.parametrize(("person", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_sheets_are_open_to_every_role_and_nobody_else(client, items, request, person, status):
    client.force_login(request.getfixturevalue(person))
    assert client.get(reverse("label-sheet"), {"code": items["roll"].code}).status_code == status
    assert client.post(reverse("label-sheet-pdf")).status_code == status


def test_sticker_of_a_place_reads_back(at_desk):
    place = make_place("Rack B2")
    pages = read_pdf(at_desk.get(reverse("place-label-pdf", args=[place.code])))
    assert [set(page) for page in pages] == [{f"HTTP://127.0.0.1:8000/P/{place.code}"}]


def test_container_with_pictograms_asks_for_a_larger_label_or_to_leave_them_off(at_desk, clerk):
    drum = make_container(by=clerk, chemical=make_chemical(pictograms="GHS02 GHS08"))
    address = reverse("container-label-pdf", args=[drum.code])
    assert "2 hazard pictograms" in at_desk.get(address).content.decode()
    assert at_desk.get(address, {"plain": "on"})["Content-Type"] == "application/pdf"
    assert at_desk.get(address, {"medium": "label-printer-100-x-150-mm"})["Content-Type"] == "application/pdf"
