"""A photographed label, from the drawn label through the upload to the page it opens."""

import io

import pytest
import qrcode
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageDraw

from labels.models import LabelWish
from labels.scan import photo
from tests.factories import make_container, make_roll

from .conftest import address_of, words


def as_file(picture: Image.Image, kind="PNG", **how) -> bytes:
    target = io.BytesIO()
    picture.save(target, kind, **how)
    return target.getvalue()


def qr(text: str) -> Image.Image:
    return qrcode.make(text).get_image().convert("L")


def send(at_table, content: bytes, name="photo.jpg"):
    return at_table.post(reverse("scan-photo"), {"photo": SimpleUploadedFile(name, content)})


def drawn_label(at_table, name, code) -> Image.Image:
    return Image.open(io.BytesIO(at_table.get(reverse(name, args=[code])).content)).convert("L")


def photographed(label: Image.Image) -> Image.Image:
    """Turned, blurred by a smaller scale and back, on a dark table, as a phone would send it."""
    table = Image.new("L", (1_600, 1_200), 40)
    turned = label.rotate(17, expand=True, fillcolor=40, resample=Image.Resampling.BICUBIC)
    table.paste(turned, (300, 150))
    return table


def test_drawn_label_of_a_roll_opens_the_roll(at_table, roll):
    answer = send(at_table, as_file(drawn_label(at_table, "roll-label-png", roll.code)))
    assert (answer.status_code, answer.url) == (302, address_of("scan-roll", roll))


def test_photographed_label_of_a_roll_opens_the_roll(at_table, roll):
    picture = photographed(drawn_label(at_table, "roll-label-png", roll.code))
    assert send(at_table, as_file(picture, "JPEG", quality=80)).url == address_of("scan-roll", roll)


def test_label_of_a_container_opens_the_container(at_table, clerk):
    drum = make_container(by=clerk)
    answer = send(at_table, as_file(drawn_label(at_table, "container-label-png", drum.code)))
    assert answer.url == reverse("scan-container", args=[drum.code])


def test_large_photo_is_read_at_full_size_when_the_shrunk_one_shows_nothing(at_table, roll):
    table = Image.new("L", (6_000, 4_500), 90)
    table.paste(qr(f"HTTP://A.LAN/R/{roll.code}").resize((78, 78), Image.Resampling.NEAREST), (4_000, 3_000))
    assert send(at_table, as_file(table)).url == address_of("scan-roll", roll)


def side_by_side(*pictures: Image.Image) -> bytes:
    table = Image.new("L", (sum(p.width for p in pictures), max(p.height for p in pictures)), 255)
    left = 0
    for picture in pictures:
        table.paste(picture, (left, 0))
        left += picture.width
    return as_file(table)


def message(answer) -> str:
    assert answer.status_code == 200
    return " ".join(answer.context["photo_form"].errors["photo"])


def test_two_labels_in_one_photo_are_named(at_table, roll, clerk):
    other = make_roll(by=clerk)
    answer = send(at_table, side_by_side(qr(f"HTTP://A.LAN/R/{roll.code}"), qr(f"HTTP://A.LAN/R/{other.code}")))
    first, second = sorted(f"{code[:3]} {code[3:]}" for code in (roll.code, other.code))
    assert message(answer) == f"The picture shows 2 labels: {first} and {second}. Take a photo of one alone."


def test_suppliers_code_beside_the_label_is_passed_over(at_table, roll):
    answer = send(at_table, side_by_side(qr("https://example.com/article/77"), qr(f"HTTP://A.LAN/R/{roll.code}")))
    assert answer.url == address_of("scan-roll", roll)


def test_other_code_alone_is_quoted(at_table, roll):
    answer = send(at_table, as_file(qr("https://example.com/" + "article" * 20)))
    assert "a code that is no label of this shop: “https://example.com/articlearticle" in message(answer)
    assert len(message(answer)) < 130


def look(at_table, picture: Image.Image) -> dict:
    """What a page that looks through the camera is told."""
    return at_table.post(
        reverse("scan-photo"),
        {"photo": SimpleUploadedFile("look.jpg", as_file(picture))},
        headers={"accept": "application/json"},
    ).json()


def test_look_through_the_camera_is_told_where_to_go(at_table, roll):
    assert look(at_table, qr(f"HTTP://A.LAN/R/{roll.code}")) == {"address": address_of("scan-roll", roll)}


def test_look_at_nothing_is_told_nothing_and_at_another_code_what_it_is(at_table, roll):
    assert look(at_table, Image.new("L", (640, 480), 200)) == {"message": ""}
    assert look(at_table, qr("https://example.com/77")) == {
        "message": "The picture shows a code that is no label of this shop: “https://example.com/77”."
    }
    assert "nothing in this store carries it" in look(at_table, qr("HTTP://A.LAN/R/B000008"))["message"]


def test_label_that_nothing_carries_says_so(at_table, roll):
    answer = send(at_table, as_file(qr("HTTP://A.LAN/R/B000008")))
    assert answer.status_code == 404
    assert "nothing in this store carries it" in words(answer)


def test_picture_without_a_code_says_what_to_do(at_table, roll):
    assert message(send(at_table, as_file(Image.new("L", (800, 600), 200)))).startswith("No code was found")


def whole_photo() -> bytes:
    return as_file(qr("HTTP://A.LAN/R/B000008").convert("RGB").resize((900, 900)), "JPEG")


@pytest.mark.parametrize(
    ("content", "answer"),
    [
        (b"%PDF-1.7 not a picture", "That file is no picture."),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "That file is no picture."),
        (whole_photo()[:6_000], "The picture did not arrive whole."),
        (b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1", "The phone sent a HEIC picture"),
        (b"", "The picture is empty."),
    ],
)
def test_file_that_cannot_be_read_says_why(at_table, roll, content, answer):
    assert message(send(at_table, content)).startswith(answer)


def test_no_file_at_all_asks_for_one(at_table, roll):
    answer = at_table.post(reverse("scan-photo"), {})
    assert message(answer) == "No picture was chosen. Take a photo of the label, or type its code."


def test_file_over_twelve_megabytes_is_refused_unread(at_table, roll):
    content = whole_photo() + bytes(12 * 1024 * 1024)
    assert message(send(at_table, content)).startswith("The picture is larger than 12 MB.")


@pytest.mark.parametrize("side", [8_001, 12_000, 13_400])
def test_picture_of_too_many_pixels_is_refused_before_it_is_unpacked(at_table, roll, side, monkeypatch):
    monkeypatch.setattr(Image.Image, "convert", None)
    content = as_file(Image.new("1", (side, side)))
    assert len(content) < 100_000
    assert "more than 64 million pixels" in message(send(at_table, content))


def damaged_label(blot: int) -> Image.Image:
    """A blot over the lower right of the symbol, where no corner mark stands."""
    picture = qr("HTTPS://STORE.LAN/R/B000008")
    pen = ImageDraw.Draw(picture)
    end = picture.width - 4 * 10
    pen.rectangle((end - blot, end - blot, end, end), fill=0)
    return picture


def worn(picture: Image.Image) -> bool:
    content = as_file(picture)
    return photo.read_label(io.BytesIO(content), len(content)).worn


def test_label_that_is_nearly_unreadable_is_called_worn():
    assert [worn(damaged_label(blot)) for blot in (1, 60)] == [False, True]


def test_opening_by_a_worn_label_asks_for_a_new_one(at_table, roll):
    picture = qr(f"HTTPS://STORE.LAN/R/{roll.code}")
    end = picture.width - 4 * 10
    ImageDraw.Draw(picture).rectangle((end - 60, end - 60, end, end), fill=0)
    answer = at_table.post(reverse("scan-photo"), {"photo": SimpleUploadedFile("p.png", as_file(picture))}, follow=True)
    assert "This label is hardly readable any more: print a new one." in words(answer)
    assert [(wish.code, wish.why) for wish in LabelWish.objects.all()] == [(roll.code, "dying")]


def test_photo_without_a_role_is_refused(client, outsider, roll):
    client.force_login(outsider)
    assert send(client, whole_photo()).status_code == 403


def test_photo_page_opened_by_its_address_leads_to_the_scan_page(at_table):
    assert at_table.get(reverse("scan-photo")).url == reverse("scan")
