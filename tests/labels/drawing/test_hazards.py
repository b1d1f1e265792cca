"""Pictograms on a container's label: at the sizes of the rules, clear of everything else, or refused with why."""

from dataclasses import replace
from math import sqrt

import pypdfium2
import pytest

from labels.calc.sheet_geometry import MEDIA
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.items import Code, Pictogram, Text
from labels.drawing.layout import lay_out
from labels.drawing.pdf import labels_pdf
from labels.drawing.pictograms import FRAME, INSIDE, NAMES, symbol
from tests.labels.examples import container_label
from tests.labels.reading import texts

LARGE = MEDIA[-1]  # 100 x 150
SHEET = MEDIA[3]  # 105 x 74.25


def drawn(label, medium, kind=Pictogram):
    return [item for item in lay_out(label, medium).items if isinstance(item, kind)]


def can(**changes):
    return container_label(pictograms=("GHS02", "GHS07", "GHS08"), **changes)


@pytest.mark.parametrize(("litres", "side_mm"), [(1, 16), (3, 16), (25, 23), (50, 23), (200, 32)])
def test_pictograms_have_the_size_for_their_package(litres, side_mm):
    sides = {round(item.width / sqrt(2), 2) for item in drawn(can(litres=litres), LARGE)}
    assert sides == {side_mm}


def test_small_package_takes_smaller_pictograms_where_the_label_is_small_but_never_under_10_mm():
    label = replace(can(litres=1), pictograms=tuple(NAMES))
    sides = {item.width / sqrt(2) for item in drawn(label, SHEET)}
    assert 10 <= min(sides) == max(sides) < 16


def test_label_too_small_for_its_pictograms_is_refused_with_the_size_they_need():
    with pytest.raises(
        LabelTooSmallError, match="3 hazard pictograms: for a package of 25 L each has a side of at least 23 mm"
    ):
        lay_out(can(litres=25), MEDIA[0])


@pytest.mark.parametrize("litres", [1, 25])
def test_pictograms_lie_on_the_label_clear_of_codes_and_words(litres):
    label = container_label(pictograms=("GHS02", "GHS08"), litres=litres)
    band = drawn(label, SHEET)
    top = min(item.y for item in band)
    assert max(item.x + item.width for item in band) <= SHEET.label_w
    assert max(item.y + item.width for item in band) <= SHEET.label_h
    assert all(item.y + len(item.matrix) * item.module_mm <= top for item in drawn(label, SHEET, Code))
    assert all(item.baseline <= top for item in drawn(label, SHEET, Text))


def test_label_with_pictograms_reads_and_has_its_red_frame():
    label = can(litres=25)
    picture = pypdfium2.PdfDocument(labels_pdf([label], LARGE))[0].render(scale=4).to_pil().convert("RGB")
    assert set(texts(picture)) == {label.payload}
    first = drawn(label, LARGE)[0]
    spot = ((first.x + 0.035 * first.width) * 4 * 72 / 25.4, (first.y + first.width / 2) * 4 * 72 / 25.4)
    red, green, _ = picture.getpixel((round(spot[0]), round(spot[1])))
    assert red > 180
    assert green < 60


@pytest.mark.parametrize("code", NAMES)
def test_symbol_stays_inside_its_frame(code):
    points = [point for shape in symbol(code) for point in shape.points]
    assert max(abs(x - 50) + abs(y - 50) for x, y in points) < 43
    assert (FRAME[0], INSIDE[0]) == ((50, 0), (50, 7))


def test_label_without_pictograms_is_as_before():
    assert drawn(container_label(), MEDIA[0]) == []
