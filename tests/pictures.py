"""Take the README's pictures from the real screens of a fresh demo: `.venv/bin/python tests/pictures.py`."""

import os
import re
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from tests.browser.chromium import ARGUMENTS, DESK, PHONE, find_chromium  # noqa: E402 - needs the path above

FOLDER = ROOT / "fixtures" / "pictures"
PORT = 8765
BASE = f"http://127.0.0.1:{PORT}"
PASSWORD = "wet-out-2-plies"


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        environment = os.environ | {"DATABASE_URL": f"sqlite:///{scratch}/demo.sqlite3", "SHOPSTOCK_DATA": scratch}
        command = [sys.executable, str(ROOT / "manage.py"), "demo", "--port", str(PORT)]
        demo = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
        try:
            wait_until_it_answers()
            take_all()
        finally:
            demo.terminate()
            demo.wait()


def wait_until_it_answers() -> None:
    for _ in range(120):
        try:
            urllib.request.urlopen(f"{BASE}/sign-in/").close()
        except OSError:
            time.sleep(0.5)
        else:
            return
    raise SystemExit("The demo did not start.")


def take_all() -> None:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=ARGUMENTS)
        owner, laminator = signed_in(browser, "olga", DESK), signed_in(browser, "luis", PHONE)
        owner.goto("/", wait_until="networkidle")
        roll = first_roll_to_cut(laminator)
        take(owner, "/", "today")
        take(owner, "/jobs/1/", "job")
        plan = owner.locator("a[href^='/plans/']").first.get_attribute("href")
        take(owner, plan, "plan")
        take(owner, "/ordering/", "ordering")
        take(owner, first_that_fails(owner), "outlook")
        take(owner, f"/rolls/{roll}/", "roll")
        take(laminator, f"/r/{roll}/", "scan")
        take(signed_in(browser, "carla", PHONE), "/receive/", "receive")
        browser.close()


def signed_in(browser, name: str, size: dict) -> Page:
    page = browser.new_context(viewport=size, base_url=BASE).new_page()
    page.goto("/sign-in/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("/")
    return page


def first_that_fails(page: Page) -> str:
    """The outlook of the first fabric that planned jobs run out of."""
    page.goto("/outlook/", wait_until="networkidle")
    return page.locator(".cards a[href^='/outlook/fabric/']").first.get_attribute("href")


def first_roll_to_cut(page: Page) -> str:
    page.goto("/", wait_until="networkidle")
    return re.search(r"/r(?:olls)?/(\w{7})/?\"", page.content()).group(1)


def take(page: Page, address: str, name: str) -> None:
    page.goto(address, wait_until="networkidle")
    path = FOLDER / f"{name}.png"
    page.screenshot(path=path)
    picture = Image.open(path).convert("RGB")
    picture.quantize(colors=64, dither=Image.Dither.NONE).save(path, optimize=True)


if __name__ == "__main__":
    main()
