"""A label held before a phone's camera, and a photo of one that is large."""

import io

import numpy as np
import pytest
import qrcode
from django.urls import reverse
from PIL import Image
from playwright.sync_api import expect

from tests.browser.chromium import ARGUMENTS, PHONE, find_chromium
from tests.browser.conftest import Visitor
from tests.factories import make_roll

PLAIN_HOST = "shop.lan"


@pytest.fixture
def roll(transactional_db, clerk):
    return make_roll(by=clerk)


def scene(roll, width: int, height: int) -> Image.Image:
    """The roll's code on a table with some grain, so that it does not pack small."""
    grain = np.random.default_rng(1).integers(90, 160, (height, width), dtype=np.uint8)
    code = qrcode.make(f"HTTPS://OLD-HOST.LAN/R/{roll.code}").get_image().convert("L")
    table = Image.fromarray(grain)
    table.paste(code.resize((height // 2, height // 2)), (width // 4, height // 4))
    return table


@pytest.fixture
def filmed(chromium, roll, tmp_path):
    """A browser whose camera shows the label: one frame of video, over and over."""
    frame = np.asarray(scene(roll, 640, 480))
    grey = np.full(frame.size // 2, 128, np.uint8)
    film = tmp_path / "label.y4m"
    film.write_bytes(b"YUV4MPEG2 W640 H480 F10:1 Ip A1:1 C420jpeg\nFRAME\n" + frame.tobytes() + grey.tobytes())
    camera = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={film}",
    ]
    browser = chromium.browser_type.launch(executable_path=find_chromium(), args=[*ARGUMENTS, *camera])
    yield browser
    browser.close()


def test_label_before_the_camera_opens_its_roll_without_a_photo(filmed, live_server, laminator, roll):
    visitor = Visitor(filmed, live_server, PHONE).sign_in(laminator)
    visitor.open("scan")
    visitor.page.get_by_role("button", name="Start the camera").click()
    visitor.page.wait_for_url(f"**{reverse('scan-roll', args=[roll.code])}")
    assert visitor.problems == []


def test_large_photo_is_made_small_before_it_is_sent_over_plain_http(chromium, live_server, laminator, roll, settings):
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, PLAIN_HOST]
    visitor = Visitor(chromium, live_server, PHONE, host=PLAIN_HOST).sign_in(laminator)
    visitor.open("scan")
    expect(visitor.page.get_by_role("button", name="Start the camera")).to_be_hidden()
    photo = io.BytesIO()
    scene(roll, 3_200, 2_400).save(photo, "JPEG", quality=90)
    taken = {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": photo.getvalue()}
    with visitor.page.expect_request("**/scan/photo/") as sent:
        visitor.page.get_by_label("Photo of the label").set_input_files(taken)
    visitor.page.wait_for_url(f"**{reverse('scan-roll', args=[roll.code])}")
    assert len(photo.getvalue()) > 3_000_000
    assert int(sent.value.all_headers()["content-length"]) < 1_500_000
    assert visitor.problems == []
    visitor.context.close()
