"""Photos that people add: made small, with everything but the picture left out, kept beside the shop's data."""

import re
import uuid
from io import BytesIO
from pathlib import Path

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from PIL import Image, ImageOps

LARGEST_FILE_BYTES = 12 * 1024 * 1024
MOST_PIXELS = 64_000_000
LONGEST_SIDE = 1600
QUALITY = 82
READABLE = ("JPEG", "PNG", "WEBP", "BMP", "GIF", "TIFF")  # what a phone or scanner makes; MPO opens as JPEG
NAME = re.compile(r"[0-9a-f]{32}\.jpg")


class PhotoError(ValueError):
    """A file that is no usable picture; the message says what to do."""


def small_jpeg(file, size_bytes: int) -> bytes:
    """The picture upright, at most 1600 pixels a side, as a JPEG without position, time, camera or any other word."""
    if size_bytes > LARGEST_FILE_BYTES:
        raise PhotoError("The picture is larger than 12 MB. Take it at a lower resolution.")
    try:
        picture = Image.open(file, formats=READABLE)
        if picture.width * picture.height > MOST_PIXELS:
            raise PhotoError("The picture has more than 64 million pixels. Take it at a lower resolution.")
        share = LONGEST_SIDE / max(picture.size)
        # A JPEG is unpacked no larger than it will be needed.
        picture.draft("RGB", [max(1, int(side * share)) for side in picture.size])
        upright = ImageOps.exif_transpose(picture).convert("RGB")
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        return _as_jpeg(upright)
    except PhotoError:
        raise
    except Image.UnidentifiedImageError:
        raise PhotoError("That file is no picture. Take a photo (JPEG, PNG or WebP).") from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PhotoError("The picture has too many pixels. Take it at a lower resolution.") from None
    except (OSError, SyntaxError, ValueError):
        raise PhotoError("The picture did not arrive whole. Send it again.") from None


def _as_jpeg(picture: Image.Image) -> bytes:
    """Drawn onto a new picture, so that nothing hidden in the old one comes along."""
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    out = BytesIO()
    clean.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def folder() -> Path:
    return Path(settings.DATA_DIR) / "uploads"


def keep(jpeg: bytes) -> str:
    """Store a picture under a new name that says nothing; returns the name."""
    folder().mkdir(parents=True, exist_ok=True)
    name = f"{uuid.uuid4().hex}.jpg"
    (folder() / name).write_bytes(jpeg)
    return name


def path_of(name: str) -> Path | None:
    """Where a kept picture lies; None for a name that is none of ours or has gone."""
    path = folder() / name
    return path if NAME.fullmatch(name) and path.is_file() else None


class PhotoField(forms.FileField):
    """Cleans to the bytes of a small JPEG, or None; nothing is stored before the form as a whole is right."""

    widget = forms.FileInput

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Photo")
        kwargs.setdefault("required", False)
        super().__init__(**kwargs)
        self.widget.attrs.update(accept="image/*", capture="environment")

    def clean(self, data, initial=None) -> bytes | None:
        file: UploadedFile | None = super().clean(data, initial)
        if not file:
            return None
        try:
            return small_jpeg(file.file, file.size)
        except PhotoError as error:
            raise forms.ValidationError(str(error)) from None
