from io import BytesIO

import pytest
from PIL import Image, ImageOps

from shopstock.photos import PhotoError, keep, path_of, small_jpeg
from tests.shopstock.pictures import GPS, phone_photo


def made_small(content: bytes) -> Image.Image:
    return Image.open(BytesIO(small_jpeg(BytesIO(content), len(content))))


def test_photo_is_made_small_and_keeps_its_shape():
    assert made_small(phone_photo(2400, 1200)).size == (1600, 800)


def test_large_photo_is_not_unpacked_whole(monkeypatch):
    """A phone's 48 million pixels would take a worker 640 MB."""
    seen = []
    upright = ImageOps.exif_transpose
    monkeypatch.setattr(ImageOps, "exif_transpose", lambda picture: seen.append(picture.size) or upright(picture))
    assert made_small(phone_photo(4000, 3000)).size == (1600, 1200)
    assert seen == [(2000, 1500)]


def test_picture_as_thin_as_a_line_is_still_one():
    assert made_small(phone_photo(4000, 1)).size == (1600, 1)


def test_small_photo_is_not_blown_up():
    assert made_small(phone_photo(300, 200)).size == (300, 200)


def test_position_camera_and_comment_are_gone():
    sent = phone_photo()
    assert Image.open(BytesIO(sent)).getexif().get_ifd(GPS)
    small = small_jpeg(BytesIO(sent), len(sent))
    kept = Image.open(BytesIO(small))
    assert (dict(kept.getexif()), kept.getexif().get_ifd(GPS), kept.info.get("comment")) == ({}, {}, None)
    assert b"Phone of somebody" not in small


def test_photo_taken_upright_stays_upright():
    picture = made_small(phone_photo(400, 200, turned=True))
    assert picture.size == (200, 400)
    assert picture.getpixel((100, 20))[1] < 60
    assert picture.getpixel((100, 380))[1] > 200


def test_transparent_picture_becomes_a_jpeg():
    out = BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    assert made_small(out.getvalue()).format == "JPEG"


@pytest.mark.parametrize(
    ("content", "size", "words"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", None, "is no picture"),
        (b"%PDF-1.4", None, "is no picture"),
        (phone_photo()[:3000], None, "did not arrive whole"),
        (b"", 13 * 1024 * 1024, "larger than 12 MB"),
    ],
)
def test_what_is_no_usable_picture_is_refused(content, size, words):
    with pytest.raises(PhotoError, match=words):
        small_jpeg(BytesIO(content), size or len(content))


def test_kept_photo_is_found_by_its_name_only(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "data"
    name = keep(b"jpeg")
    (tmp_path / "data" / "secret_key").write_text("secret")
    assert path_of(name).read_bytes() == b"jpeg"
    assert [path_of(wrong) for wrong in ("", "../secret_key", "0" * 32 + ".jpg", name + "x")] == [None] * 4
