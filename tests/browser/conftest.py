import os

import pytest
from django.urls import reverse
from playwright.sync_api import expect, sync_playwright

from tests.browser.chromium import ARGUMENTS, HOW_TO_GET_ONE, PHONE, find_chromium
from tests.factories import PASSWORD

os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # Playwright keeps an event loop running in the test's thread
PATIENCE_MS = 15_000
expect.set_options(timeout=PATIENCE_MS)


def pytest_collection_modifyitems(items):
    here = os.path.dirname(__file__)
    for item in items:
        if str(item.path).startswith(here):
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.django_db(transaction=True))


@pytest.fixture(scope="session")
def chromium():
    path = find_chromium()
    if path is None and os.environ.get("BROWSER_TESTS") == "required":
        pytest.fail(HOW_TO_GET_ONE)
    if path is None:
        pytest.skip(HOW_TO_GET_ONE)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


class Visitor:
    """A person at a screen: opens pages by name, and fails the test on any error the page's scripts raise."""

    def __init__(self, chromium, live_server, viewport, host: str = "localhost"):
        self.server = live_server
        self.context = chromium.new_context(viewport=viewport, base_url=live_server.url.replace("localhost", host))
        self.context.set_default_timeout(PATIENCE_MS)
        self.page = self.context.new_page()
        self.problems: list[str] = []
        self.page.on("pageerror", lambda error: self.problems.append(str(error)))
        self.page.on("console", lambda said: self._forbidden(said.text))

    def _forbidden(self, words: str) -> None:
        """What the browser held back because a page broke its own content security policy."""
        if "Content Security Policy" in words:
            self.problems.append(words)

    def sign_in(self, person) -> "Visitor":
        self.page.goto(reverse("sign-in"))
        self.page.get_by_label("Name").fill(person.username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.wait_for_url("/")
        return self

    def open(self, name: str, *args, query: str = ""):
        return self.page.goto(reverse(name, args=args) + query)


@pytest.fixture
def visit(chromium, live_server):
    """`visit(person, PHONE)` gives a signed-in page; several may be open at once."""
    visitors: list[Visitor] = []

    def make(person=None, viewport=PHONE) -> Visitor:
        visitor = Visitor(chromium, live_server, viewport)
        visitors.append(visitor)
        return visitor.sign_in(person) if person else visitor

    yield make
    for visitor in visitors:
        visitor.context.close()
        assert visitor.problems == []
