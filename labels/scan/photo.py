"""Reading a label from a photograph."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np
import zxingcpp
from PIL import Image

from labels.calc.qr_payload import NotALabelError, Scanned, scan
from shopstock.calc.stock_code import WrongCodeError, group_code

LARGEST_FILE_BYTES = 12 * 1024 * 1024
MOST_PIXELS = 64_000_000
READABLE = ("JPEG", "PNG", "WEBP", "BMP", "GIF", "TIFF")

_FIRST_LOOK_PIXELS = 2_400  # a side; enough for a label that fills a fifth of the picture, and quick
_WORN_BELOW = 0.5  # share of the error correction still unused (ISO/IEC 15415 grades B and better are above it)
_LONGEST_QUOTE = 60


class PhotoError(ValueError):
    """A photograph from which no label can be read; the message says what to do."""


class NoCodeError(PhotoError):
    """There is no code in it at all: the next look may have one."""


@dataclass(frozen=True)
class ReadLabel:
    """The one label found; worn when little more damage will make it unreadable."""

    scanned: Scanned
    worn: bool


def read_label(file: BinaryIO, size_bytes: int) -> ReadLabel:
    """The label of this shop in a picture. Other codes beside it, such as a supplier's, are passed over."""
    if size_bytes > LARGEST_FILE_BYTES:
        raise PhotoError("The picture is larger than 12 MB. Take it at a lower resolution, or type the code.")
    picture = _open(file)
    found = next(filter(None, map(_codes_in, _looks(picture))), None)
    if not found:
        raise NoCodeError(
            "No code was found in the picture. Go closer, hold still, keep glare off the label; or type the code."
        )
    return _only_label(found)


def read_supplier_code(file: BinaryIO, size_bytes: int) -> str:
    """The text of a supplier's code with its symbology mark; the longest where the label bears several."""
    if size_bytes > LARGEST_FILE_BYTES:
        raise PhotoError("The picture is larger than 12 MB. Take it at a lower resolution, or type what it says.")
    picture = _open(file)
    found = next(filter(None, (zxingcpp.read_barcodes(np.asarray(look)) for look in _looks(picture))), [])
    texts = {
        f"{code.symbology_identifier}{code.bytes.decode(errors='replace')}"
        for code in found
        if _as_label(code.text) is None
    }
    if not texts:
        raise PhotoError("No supplier’s code was found in the picture. Go closer, hold still; or type what it says.")
    return max(texts, key=len)


def _open(file: BinaryIO) -> Image.Image:
    try:
        picture = Image.open(file, formats=READABLE)
        _check_pixels(picture)
        picture.draft("L", None)
        return picture.convert("L")
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels() from None
    except Image.UnidentifiedImageError:
        raise PhotoError(_no_picture(file)) from None
    except (OSError, SyntaxError, ValueError) as error:
        if isinstance(error, PhotoError):
            raise
        raise PhotoError("The picture did not arrive whole. Send it again, or type the code.") from None


def _no_picture(file: BinaryIO) -> str:
    file.seek(0)
    head = file.read(12)
    if head[4:8] == b"ftyp":
        return (
            "The phone sent a HEIC picture, which is not read here. Set the camera to JPEG (“most compatible”), "
            "or type the code."
        )
    return "That file is no picture. Take a photo of the label (JPEG, PNG or WebP)."


def _check_pixels(picture: Image.Image) -> None:
    if picture.width * picture.height > MOST_PIXELS:
        raise _too_many_pixels()


def _too_many_pixels() -> PhotoError:
    return PhotoError("The picture has more than 64 million pixels. Take it at a lower resolution, or type the code.")


def _looks(picture: Image.Image) -> Iterator[Image.Image]:
    """A quick look at a smaller picture first; the whole of a large one only where that shows nothing."""
    small = picture.copy()
    small.thumbnail((_FIRST_LOOK_PIXELS, _FIRST_LOOK_PIXELS))
    yield small
    if small.size != picture.size:
        yield picture


def _codes_in(picture: Image.Image) -> list[zxingcpp.Barcode]:
    """Only the plain QR symbol: damaged ones have been taken for its micro form, with a wrong text."""
    return zxingcpp.read_barcodes(np.asarray(picture), formats=zxingcpp.BarcodeFormat.QRCodeModel2)


def _only_label(found: list[zxingcpp.Barcode]) -> ReadLabel:
    labels: dict[str, list[tuple[Scanned, float]]] = {}
    for barcode in found:
        scanned = _as_label(barcode.text)
        if scanned is not None:
            labels.setdefault(scanned.code, []).append((scanned, _unused_correction(barcode)))
    if not labels:
        raise PhotoError(f"The picture shows a code that is no label of this shop: {_quoted(found[0].text)}.")
    if len(labels) > 1:
        codes = " and ".join(group_code(code) for code in sorted(labels))
        raise PhotoError(f"The picture shows {len(labels)} labels: {codes}. Take a photo of one alone.")
    copies = next(iter(labels.values()))
    return ReadLabel(copies[0][0], worn=max(unused for _, unused in copies) < _WORN_BELOW)


def _as_label(text: str) -> Scanned | None:
    try:
        return scan(text)
    except (NotALabelError, WrongCodeError):
        return None


def _unused_correction(barcode: zxingcpp.Barcode) -> float:
    return float(barcode.extra.get("UEC", 1.0))


def _quoted(text: str) -> str:
    short = text if len(text) <= _LONGEST_QUOTE else f"{text[:_LONGEST_QUOTE]}…"
    return f"“{short}”"
