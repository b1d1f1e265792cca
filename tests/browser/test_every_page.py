"""Every page, at both sizes: readable by everyone (axe finds nothing), inside the screen, and no error on it."""

import datetime

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from django.conf import settings
from django.contrib.auth import get_user_model

from shopstock import ledger
from shopstock.demo.main_job import walk_main_job
from shopstock.demo.store import fill_shop
from shopstock.models import Fault, RecountRound
from shopstock.photos import keep
from tests.browser.chromium import DESK, PHONE
from tests.browser.every_page import pages
from tests.shopstock.pictures import phone_photo

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
LEAST_TARGET_PX = 44

TOO_SMALL = """
(least) => [...document.querySelectorAll('main button, main a.button, main input:not([type=hidden]), main select')]
  .filter(element => element.offsetParent && !element.closest('.strip-box'))
  .filter(element => !(element.type === 'checkbox' || element.type === 'radio'))
  .map(element => [element.outerHTML.slice(0, 90), element.getBoundingClientRect()])
  .filter(([, box]) => box.height && box.height < least)
  .map(([html, box]) => `${html} is ${Math.round(box.height)} px high`)
"""


@pytest.fixture
def demo_shop(transactional_db, tmp_path, monkeypatch):
    monkeypatch.setattr("shopstock.demo.main_job.LABELS_FILE", tmp_path / "labels.pdf")
    monkeypatch.setattr(settings, "DATA_DIR", tmp_path)
    walk_main_job(fill_shop(NOW))
    have_something_to_measure()
    person = get_user_model().objects.get(username="olga")
    from tests.factories import PASSWORD

    person.set_password(PASSWORD)
    person.save()
    return person


def have_something_to_measure():
    """A photographed fault, an offcut and an open round, which the main job does not need."""
    owner = get_user_model().objects.get(username="olga")
    roll = Fault.objects.order_by("pk").first().roll
    Fault.objects.filter(roll=roll).update(photo=keep(phone_photo()))
    ledger.record_offcut(parent=roll, width_mm=400, length_mm=900, by=owner, at=NOW, key="offcut-to-see")
    RecountRound.objects.create(started_by=owner, started_at=NOW, tolerance_percent=2, tolerance_mm=1000)


@pytest.mark.parametrize("half", [0, 1])
def test_every_page_is_accessible_and_fits_the_screen(visit, demo_shop, half):
    page = visit(demo_shop, PHONE).page
    found = []
    for place in pages()[half::2]:
        answer = page.request.get(place.address)
        if answer.status not in (200, 405):  # 405: takes only what a form sends
            found.append(f"{place.name}: answers {answer.status} at {place.address}")
        if answer.status != 200 or "text/html" not in answer.headers["content-type"]:
            continue
        page.goto(place.address)
        page.evaluate(AXE_SCRIPT)  # once for both sizes: it is half a megabyte
        for size_name, size in (("phone", PHONE), ("desk", DESK)):
            page.set_viewport_size(size)
            found += [f"{place.name}, {size_name}: {words}" for words in wrong_on(page)]
    assert found == []


def wrong_on(page) -> list[str]:
    violations = page.evaluate("axe.run({resultTypes: ['violations']}).then((found) => found.violations)")
    wrong = [f"axe: {v['id']} at {v['nodes'][0]['target']}: {v['help']}" for v in violations]
    if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
        wrong.append("wider than the screen")
    return wrong + page.evaluate(TOO_SMALL, LEAST_TARGET_PX)
