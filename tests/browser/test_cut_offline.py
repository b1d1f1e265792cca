"""A roll's page on a phone whose network comes and goes: every cut is one line of the ledger, none is lost."""

import datetime
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.ledger_check import differences
from tests.browser.conftest import PHONE, Visitor
from tests.factories import NOON, make_person, make_roll, new_key

PLAIN_HOST = "shop.lan"  # what the browser sees of a shop without https: no secure context
PAUSE_MS = 1_500  # how long a button rests after a cut that is kept


@pytest.fixture
def roll(transactional_db, clerk):
    return make_roll(by=clerk, length_mm=20_000)


@pytest.fixture
def phone(chromium, live_server, laminator, settings):
    """A phone on plain http, signed in, and another tab or person by asking again."""
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, PLAIN_HOST]
    visitor = Visitor(chromium, live_server, PHONE, host=PLAIN_HOST)
    visitor.context.clock.install()
    visitor.sign_in(laminator)
    assert visitor.page.evaluate("window.isSecureContext") is False
    yield visitor
    visitor.context.close()
    assert visitor.problems == []
    assert list(differences()) == []


def cuts(roll) -> list[int]:
    return [line.delta_mm for line in roll.movements.filter(kind="cut").order_by("pk")]


def at_roll(phone, roll):
    page = phone.page
    page.goto(reverse("scan-roll", args=[roll.code]))
    return page


def cut_free(page, length: str, purpose="Hull"):
    page.get_by_label("Length cut").fill(length)
    page.get_by_label("What for").fill(purpose)
    page.get_by_role("button", name="Confirm this cut").click()


def until(page, expression: str):
    """Asked from outside: the page's own policy lets no words become code."""
    for _ in range(150):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never came true: {expression}")


def is_kept(page, words: str):
    """The button rests for a moment after each cut, against a second tap."""
    expect(page.locator("#kept-note")).to_have_text(f"Kept on this phone: {words}.")
    page.clock.fast_forward(PAUSE_MS)
    expect(page.locator("form[data-cut] .waiting")).to_have_count(0)


def cut_offline(page, length: str):
    cut_free(page, length)
    is_kept(page, f"{length} for Hull")


def until_sent(page):
    until(page, "!Object.keys(localStorage).some((name) => name.startsWith('cut:'))")


def test_cut_on_line_is_made_at_once_and_leaves_nothing_on_the_phone(phone, roll):
    page = at_roll(phone, roll)
    cut_free(page, "2 m")
    expect(page.get_by_text("Left on the roll: 18.00 m")).to_be_visible()
    until_sent(page)
    assert cuts(roll) == [-2_000]


def test_live_cut_of_too_much_is_refused_with_what_was_typed(phone, roll):
    page = at_roll(phone, roll)
    cut_free(page, "21 m")
    expect(page.get_by_text("is more than that")).to_be_visible()
    expect(page.get_by_label("Length cut")).to_have_value("21 m")
    until_sent(page)
    assert cuts(roll) == []


def test_cuts_without_network_wait_and_are_sent_in_order_when_it_is_back(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    for length in ("1 m", "2 m", "3 m"):
        cut_offline(page, length)
    expect(page.locator("#cut-queue")).to_contain_text("3 cuts waiting to be sent")
    assert cuts(roll) == []
    phone.context.set_offline(False)
    expect(page.get_by_text("3 cuts sent. The ledger has them.")).to_be_visible()
    assert cuts(roll) == [-1_000, -2_000, -3_000]


def test_queue_survives_a_reload_that_fails_for_want_of_network(phone, roll, clerk):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    cut_offline(page, "1 m")
    with pytest.raises(Exception, match="ERR_INTERNET_DISCONNECTED"):
        page.reload()
    phone.context.set_offline(False)
    at_roll(phone, make_roll(by=clerk))
    until_sent(page)
    assert cuts(roll) == [-1_000]


def test_answer_that_is_lost_twice_makes_one_line(phone, roll):
    page = at_roll(phone, roll)
    lost = []

    def lose_the_answer(route):
        if len(lost) >= 2 or route.request.method != "POST":
            return route.continue_()
        inside = route.request.url.replace(PLAIN_HOST, "127.0.0.1")
        lost.append(
            route.fetch(
                url=inside, headers={**route.request.all_headers(), "host": re.split("/+", route.request.url)[1]}
            ).status
        )
        return route.abort()

    page.route(re.compile(r"/(kept-cuts|cut-without-plan)/$"), lose_the_answer)
    cut_free(page, "2 m")
    expect(page.get_by_text("1 cut sent")).to_be_visible()
    assert (lost, cuts(roll)) == ([201, 200], [-2_000])


def test_two_tabs_with_the_same_queue_send_each_cut_once(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    for length in ("1 m", "2 m", "3 m"):
        cut_offline(page, length)
    second = phone.context.new_page()
    phone.context.set_offline(False)
    second.goto(reverse("scan-roll", args=[roll.code]))
    until_sent(page)
    until_sent(second)
    assert sorted(cuts(roll)) == [-3_000, -2_000, -1_000]


def test_double_tap_without_network_is_one_cut(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    page.get_by_label("Length cut").fill("1 m")
    page.get_by_label("What for").fill("Hull")
    page.get_by_role("button", name="Confirm this cut").dblclick()
    is_kept(page, "1 m for Hull")
    phone.context.set_offline(False)
    until_sent(page)
    assert cuts(roll) == [-1_000]


def test_double_tap_on_line_is_one_cut(phone, roll):
    page = at_roll(phone, roll)
    page.get_by_label("Length cut").fill("1 m")
    page.get_by_label("What for").fill("Hull")
    page.get_by_role("button", name="Confirm this cut").dblclick()
    expect(page.get_by_text("Left on the roll: 19.00 m")).to_be_visible()
    until_sent(page)
    assert cuts(roll) == [-1_000]


def test_tab_closed_while_the_cut_was_on_its_way_sends_it_later(phone, roll):
    page = at_roll(phone, roll)
    page.route("**/cut-without-plan/", lambda route: None)  # never answered
    cut_free(page, "1 m")
    until(page, "Object.keys(localStorage).some((name) => name.startsWith('cut:'))")
    page.close()
    again = phone.context.new_page()
    again.goto(reverse("scan-roll", args=[roll.code]))
    again.clock.fast_forward(20_000)  # whoever was sending it is gone
    until_sent(again)
    assert cuts(roll) == [-1_000]


def test_over_cut_without_network_is_entered_and_the_roll_is_to_be_measured(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    cut_offline(page, "20.5 m")
    phone.context.set_offline(False)
    expect(page.get_by_text("0.50 m more was cut than was booked")).to_be_visible()
    roll.refresh_from_db()
    assert (cuts(roll), roll.length_mm) == ([-20_500], 0)
    assert "0.50 m more than was booked" in roll.recount_reason


def test_planned_cuts_and_faults_between_them_follow_one_another_without_network(phone, roll, owner):
    for start_mm, end_mm, cause in ((0, 600, "crease"), (5_000, 5_300, "wet")):
        ledger.report_fault(roll=roll, fault=FoundFault(start_mm, end_mm, cause), by=owner, at=NOON, key=new_key())
    wishes = [ledger.Promise(roll, length, job) for length, job in ((4_000, "Hull 7"), (2_500, "Deck"))]
    ledger.set_aside(promises=wishes, by=owner, at=NOON)
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    for name, of, kept in (
        ("Cut away 600 mm (crease)", "Hull 7", "600 mm cut away (crease)"),
        ("Confirm cut", "Hull 7", "4.00 m for Hull 7"),
        ("Cut away 700 mm (wet)", "Deck", "700 mm cut away (wet)"),
        ("Confirm cut", "Deck", "2.50 m for Deck"),
    ):
        expect(page.get_by_text(f"Next cut: {of}")).to_be_visible()
        page.get_by_role("button", name=name).click()
        is_kept(page, kept)
    expect(page.get_by_text("No further cut is planned on this page")).to_be_visible()
    phone.context.set_offline(False)
    until_sent(page)
    lines = roll.movements.filter(kind__in=("cut", "loss")).order_by("pk")
    assert [(line.kind, line.delta_mm, line.reason) for line in lines] == [
        ("loss", -600, "crease"),
        ("cut", -4_000, "Hull 7"),
        ("loss", -700, "wet"),
        ("cut", -2_500, "Deck"),
    ]
    assert not roll.set_asides.filter(state="open").exists()


def test_tap_while_the_button_rests_does_not_cut_what_comes_next(phone, roll, owner):
    wishes = [ledger.Promise(roll, length, job) for length, job in ((4_000, "Hull 7"), (2_500, "Deck"))]
    ledger.set_aside(promises=wishes, by=owner, at=NOON)
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    page.clock.pause_at(timezone.now() + datetime.timedelta(minutes=1))
    page.get_by_role("button", name="Confirm cut").click()
    expect(page.get_by_text("Next cut: Deck")).to_be_visible()
    page.get_by_role("button", name="Confirm cut").click(force=True)
    is_kept(page, "4.00 m for Hull 7")
    phone.context.set_offline(False)
    until_sent(page)
    assert cuts(roll) == [-4_000]


def test_sign_out_waits_for_the_queue(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    cut_offline(page, "1 m")
    said = []
    page.on("dialog", lambda dialog: (said.append(dialog.message), dialog.accept()))
    page.get_by_role("button", name="Menu").click()
    with page.expect_event("dialog"):
        page.get_by_role("button", name=re.compile("Sign out")).click()
    assert said == ["1 cut not sent yet. Stay signed in until the network is back and they are sent."]


def test_cut_is_not_sent_as_somebody_else(phone, roll, live_server):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    cut_offline(page, "1 m")
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    expect(page.get_by_text("You are signed out.")).to_be_visible()
    phone.sign_in(make_person("lena", "laminator"))
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "kept-cuts" in request.url else None)
    at_roll(phone, roll)
    expect(page.get_by_text("1 cut of luis on this device")).to_be_visible()
    page.clock.fast_forward(60_000)
    page.get_by_label("What for").fill("still here")  # what the clock set off has begun
    assert (asked, cuts(roll)) == ([], [])


def test_cut_refused_by_the_ledger_stays_on_the_phone_with_the_reason(phone, roll):
    page = at_roll(phone, roll)
    phone.context.set_offline(True)
    cut_offline(page, "4 lengths")
    phone.context.set_offline(False)
    expect(page.get_by_text("Not entered: 4 lengths")).to_be_visible()
    expect(page.get_by_role("button", name="Forget this cut")).to_have_count(1)
    assert cuts(roll) == []


def test_hotspot_that_answers_everything_with_a_page_does_not_empty_the_queue(phone, roll):
    page = at_roll(phone, roll)
    page.route(
        re.compile("/(kept-cuts|cut-without-plan)/$"),
        lambda route: route.fulfill(status=200, body="<h1>Wi-Fi</h1>", content_type="text/html"),
    )
    cut_free(page, "1 m")
    expect(page.get_by_text("1 cut waiting to be sent")).to_be_visible()
    page.unroute_all()
    until_sent(page)
    assert cuts(roll) == [-1_000]


def test_roll_seen_before_opens_without_network_where_the_page_is_secure(visit, laminator, roll):
    visitor = visit(laminator, PHONE)
    visitor.context.clock.install()
    page = at_roll(visitor, roll)
    until(page, "navigator.serviceWorker.ready.then((found) => found.active.state === 'activated')")
    page.reload()
    until(page, f"caches.match('/r/{roll.code}').then((found) => !!found)")
    visitor.context.set_offline(True)
    page.goto(f"/R/{roll.code}")
    expect(page.get_by_text("No network: this page is as it was")).to_be_visible()
    cut_offline(page, "1 m")
    visitor.context.set_offline(False)
    until_sent(page)
    assert cuts(roll) == [-1_000]
