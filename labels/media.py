"""The sheets and stickers that this shop prints labels on."""

from django.utils.text import slugify

from labels.calc.sheet_geometry import MEDIA, Medium
from labels.models import PrintMedium


def key_of(name: str) -> str:
    return slugify(name.replace(".", "-"))[:80]


def offered() -> list[PrintMedium]:
    """What labels can be printed on; a new shop starts with the common sizes."""
    if not PrintMedium.objects.exists():
        PrintMedium.objects.bulk_create((_row(medium) for medium in MEDIA), ignore_conflicts=True)
    return list(PrintMedium.objects.filter(in_use=True))


def _row(medium: Medium) -> PrintMedium:
    sizes = {name: getattr(medium, name) for name in PrintMedium.MEASURES}
    return PrintMedium(key=key_of(medium.name), name=medium.name, **sizes)


def next_free(medium: Medium, first: int, count: int) -> int:
    """The first free label of the sheet that a run leaves behind; 1 when it ends with a full sheet."""
    return (first - 1 + count) % medium.labels_a_page + 1


def sticker(media: list[PrintMedium]) -> PrintMedium:
    """The first that takes one label a page, for a label printed by itself."""
    return next((row for row in media if row.cols * row.rows == 1), media[0])
