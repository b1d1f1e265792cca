"""The page on which labels are chosen and laid out, and the PDF it gives."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import resolve, reverse

from labels.calc.sheet_geometry import MEDIA
from labels.media import key_of, offered
from labels.models import PrintMedium
from shopstock import ledger
from shopstock.models import Shop
from tests.factories import NOON, make_chemical, make_container, make_place, make_reinforcement, make_roll, new_key

from .conftest import pdf, read_pdf, sheet


def errors(page) -> dict:
    return page.context["form"].errors


def payload(roll) -> str:
    return f"HTTP://127.0.0.1:8000/R/{roll.code}"


def test_sheet_of_chosen_rolls_reads_back_in_their_order(at_desk, rolls):
    assert read_pdf(pdf(at_desk, rolls)) == [sorted(2 * [payload(roll) for roll in rolls])]


def test_sheet_holds_containers_under_their_own_address(at_desk, clerk, rolls):
    drum = make_container(by=clerk)
    codes = {text for page in read_pdf(pdf(at_desk, [rolls[0], drum])) for text in page}
    assert codes == {payload(rolls[0]), f"HTTP://127.0.0.1:8000/C/{drum.code}"}


def test_labels_carry_the_address_that_the_shop_chose(at_desk, rolls):
    Shop.objects.update_or_create(pk=1, defaults={"address": "https://store.lan"})
    assert set(read_pdf(pdf(at_desk, rolls[:1]))[0]) == {f"HTTPS://STORE.LAN/R/{rolls[0].code}"}


def test_copies_from_the_last_free_label_run_on_to_the_next_page(at_desk, rolls):
    pages = read_pdf(pdf(at_desk, rolls, first=21, copies=2))
    assert [len(page) // 2 for page in pages] == [1, 5]


@pytest.mark.parametrize("key", [key_of(medium.name) for medium in MEDIA])
def test_every_standard_sheet_gives_readable_labels(at_desk, rolls, key):
    assert set(read_pdf(pdf(at_desk, rolls[:1], medium=key))[0]) == {payload(rolls[0])}


def test_label_too_small_for_a_code_says_so_before_the_pdf(at_desk, rolls):
    offered()
    PrintMedium.objects.create(key="tiny", name="tiny", page_w=12, page_h=8, label_w=12, label_h=8)
    for page in (sheet(at_desk, rolls, medium="tiny"), pdf(at_desk, rolls, medium="tiny")):
        assert "tiny is too small for a roll label" in errors(page)["__all__"][0]


@pytest.mark.parametrize("first", ["0", "22", "-3", "two"])
def test_first_label_outside_the_sheet_is_refused_beside_its_field(at_desk, rolls, first):
    page = sheet(at_desk, rolls, first=first)
    assert list(errors(page)) == ["first"]
    assert f'value="{first}"' in page.content.decode()


def test_pdf_of_nothing_asks_to_tick_a_label(at_desk):
    assert errors(pdf(at_desk))["__all__"] == ["No label is ticked. Tick at least one roll, container or place."]


@pytest.mark.parametrize("name", ["label-sheet", "label-sheet-pdf"])
def test_sheets_are_guarded_as_printing(name):
    assert resolve(reverse(name)).func.shop_action == "print labels"


def test_made_up_codes_are_passed_over(at_desk, rolls):
    page = at_desk.get(reverse("label-sheet"), {"code": [rolls[0].code.lower(), "B000008", "<b>", "\0", rolls[0].code]})
    assert page.context["items"] == [rolls[0]]


def test_unknown_sheet_is_refused_beside_its_field(at_desk, rolls):
    assert list(errors(pdf(at_desk, rolls, medium="a4-of-another-maker"))) == ["medium"]


def test_more_labels_than_a_printer_takes_at_once_are_refused(at_desk, rolls, monkeypatch):
    monkeypatch.setattr("labels.sheets.views.MOST_LABELS", 5)
    assert errors(pdf(at_desk, rolls, copies=2))["__all__"] == ["6 labels are too many at once. Print 5 or fewer."]


def test_shop_address_that_no_code_can_hold_says_what_to_change(at_desk, rolls):
    Shop.objects.update_or_create(pk=1, defaults={"address": f"http://{'storeroom' * 5}.lan"})
    assert "Use a shorter host name." in errors(pdf(at_desk, rolls))["__all__"][0]
    assert "Use a shorter host name." in at_desk.get(reverse("roll-label-png", args=[rolls[0].code])).content.decode()


def places(page) -> list[str]:
    (first, *_), items = page.context["pages"], []
    for place in first.places:
        items.append(place.item.code if place.item else "used" if place.used else "free")
    return items


def test_preview_shows_what_lies_on_which_label(at_desk, rolls):
    page = sheet(at_desk, rolls, first=3, medium="a4-2-x-4-labels-of-105-x-74-25-mm")
    assert places(page) == ["used", "used", *(roll.code for roll in rolls), "free", "free", "free"]


def test_preview_is_drawn_to_the_scale_of_the_sheet(at_desk, rolls):
    html = sheet(at_desk, rolls).content.decode()
    assert 'viewBox="0 0 210 297"' in html
    assert '<rect class="label printed" x="7.25" y="15.15" width="63.50" height="38.10"/>' in html


def test_tap_on_a_label_starts_there_and_keeps_all_else(at_desk, rolls):
    html = sheet(at_desk, rolls, copies=2, twins="on").content.decode()
    address = html.partition(' aria-label="Start at label 4"')[0].rpartition('href="')[2].split('"')[0]
    query = parse_qs(urlsplit(address.replace("&amp;", "&")).query)
    assert (query["code"], query["first"], query["copies"], query["twins"]) == (
        [roll.code for roll in rolls],
        ["4"],
        ["2"],
        ["on"],
    )


def test_sheet_printed_on_last_is_offered_again(at_desk, rolls):
    pdf(at_desk, rolls, medium="label-printer-100-x-50-mm", first=1, copies=3)
    form = sheet(at_desk, rolls).context["form"]
    assert (form["medium"].value(), form["copies"].value()) == ("label-printer-100-x-50-mm", 1)


def test_all_received_today_are_one_tap_away(at_desk, clerk, rolls):
    make_roll(by=clerk, received_on=NOON.date().replace(day=1))
    gone = make_roll(by=clerk, length_mm=900)
    ledger.record_cut(roll=gone, length_mm=900, by=clerk, at=NOON, key=new_key(), reason="Hull")
    page = sheet(at_desk, rolls[:1])
    assert page.context["todays"] == [roll.code for roll in rolls[1:]]
    page = at_desk.get(reverse("label-sheet") + page.context["with_todays"])
    assert page.context["items"] == rolls


def test_words_find_rolls_and_containers_beside_those_already_ticked(at_desk, clerk, rolls):
    rack = make_place("Rack Z9")
    wanted = make_roll(by=clerk, place=rack)
    drum = make_container(by=clerk, batch="Z9-77")
    page = sheet(at_desk, rolls[:1], q="z9")
    assert (page.context["items"], page.context["found"]) == (rolls[:1], [wanted, drum, rack])
    page = at_desk.get(reverse("label-sheet") + page.context["with_found"])
    assert page.context["items"] == [rolls[0], wanted, drum, rack]


def test_words_with_a_nul_in_them_find_what_is_left_of_them(at_desk, rolls):
    assert sheet(at_desk, q="L\x002").context["found"] == rolls[2:]


def test_words_that_find_nothing_say_so(at_desk, rolls):
    assert "Nothing more was found for “unobtainium”." in sheet(at_desk, rolls, q="unobtainium").content.decode()


def test_sheet_asks_the_database_as_often_for_one_roll_as_for_three(at_desk, clerk, rolls):
    found = [make_roll(by=clerk, reinforcement=make_reinforcement(), lot="FIND") for _ in range(3)]
    three = queries(lambda: sheet(at_desk, rolls, q="FIND"))
    for roll in found[1:]:
        ledger.record_cut(roll=roll, length_mm=50_000, by=clerk, at=NOON, key=new_key(), reason="Hull")
    assert queries(lambda: sheet(at_desk, rolls[:1], q="FIND")) == three


def queries(ask) -> int:
    Shop.current()  # its row is made when first asked for, as are the common sheets
    offered()
    with CaptureQueriesContext(connection) as captured:
        ask()
    return len(captured)


def test_sheet_too_small_for_a_drum_names_the_drum_and_the_sheets_that_take_it(at_desk, clerk):
    resin = make_chemical(pictograms="GHS02 GHS07 GHS08", pack_g=25_000)
    drum = make_container(by=clerk, chemical=resin, mass_g=25_000)
    [reason] = sheet(at_desk, [drum]).context["form"].non_field_errors()
    assert f"label of {drum.code[:3]} {drum.code[3:]} with 3 hazard pictograms: for a package of 22.7 L" in reason
    assert reason.endswith("All fit on: Label printer, 100 x 150 mm.")
