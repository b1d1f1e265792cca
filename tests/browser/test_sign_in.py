import re

from playwright.sync_api import expect

from tests.browser.chromium import DESK, PHONE


def test_person_signs_in_and_sees_today(visit, laminator):
    page = visit(laminator, PHONE).page
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("^Today"))


def test_menu_opens_by_keyboard_on_a_phone(visit, owner):
    page = visit(owner, PHONE).page
    page.get_by_role("button", name="Menu").focus()
    page.keyboard.press("Enter")
    page.get_by_role("link", name="People").click()
    page.wait_for_url("**/people/")


def test_scanner_that_types_anywhere_reaches_the_find_field(visit, clerk):
    page = visit(clerk, DESK).page
    page.keyboard.type("K7B")
    expect(page.locator("#find")).to_have_value("K7B")


def test_second_tap_on_a_waiting_form_is_not_sent(visit, owner):
    page = visit(owner, DESK).page
    page.goto("/people/add/")
    page.get_by_label("Name to sign in with").fill("nils")
    page.get_by_label("clerk").check()
    page.get_by_label("Password").fill("bias-tape-45")
    sent = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    page.get_by_role("button", name="Save").dblclick()
    page.wait_for_url("**/people/")
    assert len(sent) == 1
