"""Naming the sheets that labels are printed on, so that an address or a form can choose one."""

from django.utils.text import slugify

from labels.calc.sheet_geometry import MEDIA

OWN = "own"
STANDARD = {slugify(medium.name.replace(".", "-")): medium for medium in MEDIA}
CHOICES = [*((key, medium.name) for key, medium in STANDARD.items()), (OWN, "another sheet: own measures below")]
FIRST_SHEET = next(iter(STANDARD))
STICKER = next(key for key, medium in STANDARD.items() if medium.labels_a_page == 1)
