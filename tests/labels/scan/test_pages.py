"""What a scanned or typed code opens, and what a wrong one says."""

import datetime
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock import ledger
from shopstock.calc.stock_code import make_code
from shopstock.models import Roll, Shop
from tests.factories import NOON, TODAY, make_chemical, make_container, make_place, make_roll, new_key

from .conftest import address_of, words


def wrong(code: str) -> str:
    """The code with its last character changed."""
    return code[:-1] + ("0" if code[-1] != "0" else "1")


def typed(at_table, text):
    return at_table.get(reverse("scan"), {"code": text})


def test_scan_page_waits_in_the_code_field(at_table):
    page = at_table.get(reverse("scan"))
    assert (page.status_code, page.content.decode().count(" autofocus")) == (200, 1)


@pytest.mark.parametrize(
    "text",
    [
        "{code}",
        " {code}\n",
        "{lower}",
        "HTTP://127.0.0.1:8000/R/{code}",
        "https://an.older.host/r/{lower}/",
        "HTTPSÖ--STORE.LAN-R-{code}",
    ],
)
def test_label_opens_its_roll_from_any_host_in_any_case(at_table, roll, text):
    page = typed(at_table, text.format(code=roll.code, lower=roll.code.lower()))
    assert (page.status_code, page.url) == (302, address_of("scan-roll", roll))


@pytest.mark.parametrize("address", ["/r/{code}", "/R/{code}", "/R/{lower}/", "/r/{grouped}"])
def test_address_of_a_label_shows_the_roll(at_table, roll, address):
    code = roll.code
    page = at_table.get(address.format(code=code, lower=code.lower(), grouped=f"{code[:3]}-{code[3:]}"))
    assert (page.status_code, page.context["roll"]) == (200, roll)


def test_code_of_a_container_opens_the_container_wherever_it_is_typed(at_table, clerk):
    drum = make_container(by=clerk)
    expected = reverse("scan-container", args=[drum.code])
    assert [typed(at_table, drum.code).url, at_table.get(f"/r/{drum.code}").url] == [expected, expected]


def test_code_of_a_roll_under_the_address_of_containers_opens_the_roll(at_table, roll):
    assert at_table.get(f"/C/{roll.code}").url == address_of("scan-roll", roll)


def test_wrong_check_character_is_named_and_the_near_roll_offered(at_table, roll):
    page = typed(at_table, wrong(roll.code))
    assert page.status_code == 404
    assert "does not check: a character is wrong or two are swapped" in words(page)
    assert f'href="{address_of("scan-roll", roll)}"' in page.content.decode()
    assert f'value="{wrong(roll.code)}"' in page.content.decode()


def test_wrong_code_in_an_address_offers_the_near_roll_too(at_table, roll):
    page = at_table.get(f"/R/{wrong(roll.code)}")
    assert (page.status_code, [item for item, _ in page.context["near"]]) == (404, [roll])


def test_right_code_that_nothing_carries_says_so(at_table, roll):
    free = next(code for code in map(make_code, range(9)) if code != roll.code)
    assert "nothing in this store carries it" in words(typed(at_table, free))


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("woven roving", "No code has W or M"),
        ("https://example.com/news", "is no label of this shop"),
        ("x" * 600, "far more text than a label holds"),
        ("<b>bold</b>", "No code has"),
        ("\0", "No code has"),
    ],
)
def test_text_that_is_no_code_is_answered_with_what_to_do(at_table, roll, text, answer):
    page = typed(at_table, text)
    assert page.status_code == 404
    assert "Not found." in words(page)
    assert "<b>bold" not in page.content.decode()


def test_label_of_a_place_opens_the_place(at_table):
    place = make_place("Rack B2")
    assert typed(at_table, f"HTTP://A.LAN/P/{place.code}").url == reverse("place", args=[place.pk])
    assert at_table.get(f"/P/{place.code}").url == reverse("place", args=[place.pk])


def test_label_of_a_place_that_is_gone_says_so(at_table):
    assert "nothing in this store carries it" in words(at_table.get("/p/B000008"))


def test_roll_page_says_what_it_is_where_and_how_much(at_table, clerk):
    roll = make_roll(by=clerk, length_mm=42_350, place=make_place("Rack B2"), lot="L88")
    text = words(at_table.get(address_of("scan-roll", roll)))
    for part in (roll.reinforcement.name, "Rack B2", "42.35 m", "1250 mm", "600 g/m² · 17.70 oz/yd²", "L88"):
        assert part in text


def test_quarantined_roll_is_shown_with_its_reason_and_no_way_to_cut(at_table, promise, roll, clerk):
    ledger.quarantine(roll=roll, reason="folded in two places", by=clerk, at=NOON, key=new_key())
    page = at_table.get(address_of("scan-roll", roll))
    assert "Do not cut Quarantined since 2026-03-02: folded in two places." in words(page)
    cuts = [address_of(name, roll) for name in ("scan-cut", "scan-cut-free", "scan-cut-away")]
    assert [address for address in cuts if address in page.content.decode()] == []


def test_downgraded_roll_says_so_before_it_is_cut(at_table, roll):
    Roll.objects.filter(pk=roll.pk).update(grade=Roll.Grade.NON_STRUCTURAL)
    assert "Cut nothing from it that carries load." in words(at_table.get(address_of("scan-roll", roll)))


def test_used_up_roll_says_so_and_offers_no_cut(at_table, roll, laminator):
    ledger.record_cut(roll=roll, length_mm=20_000, by=laminator, at=NOON, key=new_key(), reason="Hull")
    page = at_table.get(address_of("scan-roll", roll))
    assert "Used up since 2026-03-02" in words(page)
    assert "Ask the clerk for a recount before you cut." in words(page)
    assert address_of("scan-cut-free", roll) not in page.content.decode()


def test_last_cut_of_a_roll_still_offers_its_offcut(at_table, roll, laminator, owner):
    wish = ledger.Promise(roll, 20_000, "Hull 9", offcuts=((500, 900),))
    promise = ledger.set_aside(promises=[wish], by=owner, at=NOON)[0]
    line = ledger.record_cut(roll=roll, length_mm=20_000, by=laminator, at=NOON, key=new_key(), set_aside=promise)
    page = at_table.get(address_of("scan-roll", roll), {"done": line.pk})
    assert "Keep offcut 500 mm × 900 mm" in words(page)
    assert "Used up" in words(page)


@pytest.mark.parametrize("done", ["", "x", "0", "99999999999999999999999", "-1", "²"])
def test_made_up_done_line_is_passed_over(at_table, roll, done):
    page = at_table.get(address_of("scan-roll", roll), {"done": done})
    assert (page.status_code, page.context["roll"], "Left on the roll" in words(page)) == (200, roll, False)


def test_roll_whose_plan_does_not_fit_any_more_offers_no_cut(at_table, roll, promise):
    Roll.objects.filter(pk=roll.pk).update(length_mm=4_200)  # as after damage to the database: no ledger call does it
    roll.faults.create(from_mm=0, to_mm=1_000, cause="wet", found_by=promise.by, found_at=NOON)
    page = at_table.get(address_of("scan-roll", roll))
    assert "does not come out of this roll any more" in words(page)
    assert "Confirm cut" not in words(page)


def test_every_shown_form_has_a_key_of_its_own(at_table, roll, promise):
    keys = set()
    for _ in range(2):
        page = at_table.get(address_of("scan-roll", roll))
        keys |= {page.context[form]["key"].value() for form in ("cut_form", "free_form", "fault_form")}
    assert len(keys) == 6


def test_roll_page_is_never_kept_by_the_browser(at_table, roll):
    assert "no-store" in at_table.get(address_of("scan-roll", roll))["Cache-Control"]


def test_ids_on_the_roll_page_are_unique(at_table, roll, promise):
    ids = re.findall(r'\bid="([^"]+)"', at_table.get(address_of("scan-roll", roll)).content.decode())
    assert sorted(ids) == sorted(set(ids))


def container_page(at_table, drum):
    return at_table.get(reverse("scan-container", args=[drum.code]))


def test_container_page_says_batch_date_and_what_is_left_and_leads_to_the_draw(at_table, clerk):
    drum = make_container(by=clerk, label_date=TODAY + datetime.timedelta(days=90), batch="B77", mass_g=18_500)
    page = container_page(at_table, drum)
    for part in (drum.chemical.name, "B77", "18.50 kg left", f"Use by {drum.label_date}"):
        assert part in words(page)
    assert f'<a class="button big" href="{reverse("container", args=[drum.code])}">Draw</a>' in page.content.decode()


def test_opened_container_shows_the_earlier_date_and_why(at_table, clerk):
    resin = make_chemical(open_life_days=10)
    drum = make_container(
        by=clerk, chemical=resin, label_date=TODAY + datetime.timedelta(days=90), opened_on=TODAY, received_on=TODAY
    )
    ends = TODAY + datetime.timedelta(days=10)
    assert f"Use by {ends}: 10 days after it was opened on {TODAY}" in words(container_page(at_table, drum))


def test_container_past_its_date_is_not_to_be_used(at_table, clerk):
    drum = make_container(by=clerk, label_date=TODAY - datetime.timedelta(days=1))
    page = container_page(at_table, drum)
    assert f"Past its date since {drum.label_date} (date on the label). Take another container" in words(page)
    assert ">Draw<" not in page.content.decode()


def test_container_that_is_not_first_names_the_one_that_is(at_table, clerk):
    resin = make_chemical()
    late = make_container(by=clerk, chemical=resin, label_date=TODAY + datetime.timedelta(days=90))
    soon = make_container(by=clerk, chemical=resin, label_date=TODAY + datetime.timedelta(days=9))
    assert f"Take another first: {soon.code[:3]} {soon.code[3:]}" in words(container_page(at_table, late))
    assert "Take another first" not in words(container_page(at_table, soon))


def test_container_page_cautions_and_names_the_wrong_neighbour(at_table, clerk):
    cabinet = make_place("Cabinet")
    hazard = {"hazards": "Org. Perox. D, H242", "pictograms": "GHS02"}
    can = make_container(by=clerk, chemical=make_chemical(kind="peroxide", **hazard), place=cabinet)
    page = words(container_page(at_table, can))
    assert "Organic peroxide must never meet promoter" in page
    assert "GHS02 Org. Perox. D, H242" in page
    assert "Not the right place" not in page
    hardener = make_container(by=clerk, chemical=make_chemical("Slow", kind="hardener"))
    type(hardener).objects.filter(pk=hardener.pk).update(place=cabinet)
    assert f"Not the right place. Organic peroxide beside amine or amine hardener: amines break peroxide down with heat (Slow {hardener.code} stands there)" in words(container_page(at_table, can))  # fmt: skip # noqa: E501


def test_empty_container_says_so(at_table, clerk):
    drum = make_container(by=clerk, label_date=TODAY + datetime.timedelta(days=90))
    ledger.dispose(container=drum, by=clerk, at=NOON, key=new_key(), reason="waste note 7")
    assert "Empty or disposed of" in words(container_page(at_table, drum))


def test_roll_page_asks_the_database_as_often_for_one_promise_as_for_four(at_table, roll, promise, owner):
    one = queries(lambda: at_table.get(address_of("scan-roll", roll)))
    wishes = [ledger.Promise(roll, 1_000, f"Lid {number}") for number in range(3)]
    ledger.set_aside(promises=wishes, by=owner, at=NOON)
    assert queries(lambda: at_table.get(address_of("scan-roll", roll))) == one


def queries(ask) -> int:
    Shop.current()  # its row is made when first asked for
    with CaptureQueriesContext(connection) as captured:
        ask()
    return len(captured)
