"""The main job from the lorry to the cut, each step by the person whose it is."""

import re

import pytest
import zxingcpp
from django.utils import timezone
from PIL import Image
from playwright.sync_api import expect

from shopstock.ledger_check import differences
from shopstock.models import Movement, Roll, Shop
from tests.browser.chromium import DESK, PHONE
from tests.factories import make_place, make_reinforcement, make_roll, new_key


@pytest.fixture
def roving(transactional_db):
    make_place("Rack A1")
    return make_reinforcement("Woven roving 600", roll_length_mm=40_000)


def receive(page, *, folded: str, length: str = "40") -> None:
    page.goto("/receive/")
    page.get_by_label("Reinforcement").select_option(label="Woven roving 600")
    page.get_by_role("textbox", name="Lot (may be left empty)").fill("WR6-204")
    page.get_by_label("Width as measured").fill("1250")
    page.get_by_label("Length on the label").fill(length)
    page.get_by_label(folded).check()
    page.get_by_role("button", name=re.compile("receive|log", re.I)).last.click()
    page.wait_for_url(re.compile(r"/receive/.+"))


def test_clerk_receives_a_roll_and_its_printed_label_opens_it(visit, roving, clerk, tmp_path):
    page = visit(clerk, PHONE).page
    receive(page, folded="no, nowhere")
    roll = Roll.objects.get()
    assert roll.code in page.content().replace(" ", "")
    png = page.request.get(f"/labels/roll/{roll.code}.png").body()
    (tmp_path / "label.png").write_bytes(png)
    found = zxingcpp.read_barcodes(Image.open(tmp_path / "label.png"), formats=zxingcpp.BarcodeFormat.QRCodeModel2)
    assert {code.text for code in found} == {f"{Shop.current().address.upper()}/R/{roll.code}"}
    page.goto(f"/R/{roll.code.lower()}")
    expect(page.get_by_role("heading", level=1)).to_have_text("Woven roving 600")


def test_folded_roll_waits_in_quarantine_and_cannot_be_cut(visit, roving, clerk, laminator):
    receive(visit(clerk, PHONE).page, folded="yes, folded")
    roll = Roll.objects.get()
    page = visit(laminator, PHONE).page
    page.goto(f"/r/{roll.code}/")
    expect(page.get_by_text("Do not cut")).to_be_visible()
    expect(page.get_by_role("button", name="Confirm cut")).to_have_count(0)


@pytest.fixture
def planned(visit, roving, owner, clerk):
    """A roll on the rack and a job of two blanks, confirmed by the owner at a desk."""
    roll = make_roll(by=clerk, reinforcement=roving, length_mm=12_000, at=timezone.now(), key=new_key())
    page = visit(owner, DESK).page
    page.goto("/jobs/add/")
    page.get_by_label("Name", exact=True).fill("Dory 12")
    page.get_by_role("button", name=re.compile("save|add|write", re.I)).last.click()
    page.get_by_role("link", name="Plies from a file").click()
    page.get_by_label(re.compile("paste")).fill(
        "part,ply,reinforcement,length,width,direction\n"
        "Hull,1,Woven roving 600,4 m,1.2 m,0\n"
        "Hull,2,Woven roving 600,3 m,1.2 m,0\n"
    )
    page.get_by_role("button", name="Add the plies").click()
    page.get_by_role("button", name="Plan the cutting").click()
    page.wait_for_url("**/plans/**")
    page.get_by_role("button", name=re.compile("^Confirm")).click()
    expect(page.get_by_text("Its lengths are set aside")).to_be_visible()
    return roll


def test_confirmed_plan_lowers_what_others_see_as_free(planned):
    planned.refresh_from_db()
    assert (planned.length_mm, planned.set_aside_mm) == (12_000, 7_000)


def test_laminator_cuts_the_next_strip_and_a_double_tap_is_one_cut(visit, planned, laminator):
    page = visit(laminator, PHONE).page
    page.goto(f"/r/{planned.code}/")
    really_cut = page.get_by_label("Length really cut")
    expect(really_cut).to_have_value(re.compile(r"^[34]\.00 m$"))
    really_cut.fill(really_cut.input_value().replace(".00", ".03"))
    page.get_by_role("button", name="Confirm cut").dblclick()
    expect(page.get_by_text("Left on the roll:")).to_be_visible()
    planned.refresh_from_db()
    cuts = Movement.objects.filter(roll=planned, kind="cut")
    assert (cuts.count(), cuts.get().by, list(differences())) == (1, laminator, [])
    assert planned.length_mm in (7_970, 8_970)


def test_cut_of_more_than_is_left_is_refused_and_what_was_typed_is_kept(visit, planned, laminator):
    page = visit(laminator, PHONE).page
    page.goto(f"/r/{planned.code}/")
    page.get_by_label("Length really cut").fill("12.5 m")
    page.get_by_role("button", name="Confirm cut").click()
    expect(page.get_by_text("12.50 m is more than that").first).to_be_visible()
    expect(page.get_by_label("Length really cut")).to_have_value("12.5 m")
    assert Movement.objects.filter(kind="cut").count() == 0


def test_page_left_open_while_someone_else_cuts_is_told_so(visit, planned, laminator, clerk):
    mine, theirs = visit(laminator, PHONE).page, visit(clerk, PHONE).page
    for page in (mine, theirs):
        page.goto(f"/r/{planned.code}/")
    theirs.get_by_role("button", name="Confirm cut").click()
    expect(theirs.get_by_text("Left on the roll:")).to_be_visible()
    mine.get_by_role("button", name="Confirm cut").click()
    expect(mine.get_by_text("That cut was already made, or the plan has changed.")).to_be_visible()
    assert Movement.objects.filter(kind="cut").count() == 1
