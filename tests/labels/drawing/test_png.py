from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from labels.calc.sheet_geometry import MEDIA, MediumError, single
from labels.drawing.items import Code
from labels.drawing.layout import lay_out
from labels.drawing.png import label_png
from tests.labels.examples import LONG_ADDRESS, SHORT_ADDRESS, labels_of_every_kind, roll_label
from tests.labels.reading import texts

CASES = [
    pytest.param(label, medium, id=f"{kind}, {address}, {medium.name}")
    for address in (SHORT_ADDRESS, LONG_ADDRESS)
    for kind, label in labels_of_every_kind(address).items()
    for medium in MEDIA
]


def picture_of(label, medium):
    return Image.open(BytesIO(label_png(label, medium)))


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_every_code_of_the_picture_reads_back(label, medium):
    copies = 2 if medium.label_w >= 60 else 1
    assert texts(picture_of(label, medium)) == [label.payload] * copies


@pytest.mark.parametrize("medium", MEDIA)
def test_picture_has_one_dot_for_each_dot_of_the_printer(medium):
    picture = picture_of(roll_label(), medium)
    size = (round(medium.label_w / 25.4 * medium.dpi), round(medium.label_h / 25.4 * medium.dpi))
    assert (picture.size, picture.mode) == (size, "1")
    assert picture.info["dpi"] == pytest.approx((medium.dpi, medium.dpi), abs=0.1)


@pytest.mark.parametrize("medium", MEDIA)
def test_every_module_is_the_same_number_of_dots(medium):
    label = roll_label()
    dots = np.array(picture_of(label, medium))
    for code in [item for item in lay_out(label, medium).items if isinstance(item, Code)]:
        step, side = code.module_dots, len(code.matrix)
        x, y = round(code.x / medium.dot_mm), round(code.y / medium.dot_mm)
        quiet = 4 * step
        with_quiet = dots[y - quiet : y + side * step + quiet, x - quiet : x + side * step + quiet]
        expected = np.kron(np.pad(~np.array(code.matrix), 4, constant_values=True), np.ones((step, step), dtype=bool))
        assert np.array_equal(with_quiet, expected)


def test_same_label_gives_the_same_bytes():
    assert label_png(roll_label(), MEDIA[0]) == label_png(roll_label(), MEDIA[0])


def test_label_of_characters_that_the_typeface_lacks_is_drawn():
    label = roll_label(reinforcement="стеклоткань 漢字", lot="Ж-1 \U0001f9f5")
    assert texts(picture_of(label, MEDIA[6])) == [label.payload]


def test_medium_whose_sizes_do_not_go_together_is_refused():
    with pytest.raises(MediumError, match="too coarse"):
        label_png(roll_label(), replace(single("coarse", 57, 32), dpi=72))
