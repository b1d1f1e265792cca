"""Finding a Chromium and how it is started, for the browser tests and for the README's pictures."""

import os
import shutil

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP shop.lan 127.0.0.1",  # a shop's own host on plain http, which is no secure context
]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
HOW_TO_GET_ONE = "no Chromium found; on Debian: apt-get install chromium, or set CHROMIUM to the path of one"


def find_chromium() -> str | None:
    named = os.environ.get("CHROMIUM")
    return named or next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
