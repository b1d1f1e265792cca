"""Photos as phones take them, for tests."""

from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

NORTH_50 = {1: "N", 2: (50.0, 30.0, 0.0), 3: "E", 4: (8.0, 15.0, 0.0)}
GPS, ORIENTATION, LENS_MAKER = 0x8825, 0x0112, 0xA433


def phone_photo(width: int = 2400, height: int = 1200, *, turned: bool = False) -> bytes:
    """A JPEG that knows where it was taken and by what, red on its left half."""
    picture = Image.new("RGB", (width, height), "white")
    picture.paste((200, 0, 0), (0, 0, width // 2, height))
    exif = Image.Exif()
    exif[ORIENTATION] = 6 if turned else 1
    exif[0x010F] = "Phone of somebody"
    exif.get_ifd(GPS).update(NORTH_50)
    out = BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=b"at home")
    return out.getvalue()


def upload(content: bytes, name: str = "IMG_1.jpg", content_type: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type)
