"""The PDF is drawn by an independent renderer and its codes are found and read there."""

from dataclasses import replace

import pypdfium2
import pytest

from labels.calc.sheet_geometry import MEDIA, MediumError, SlotError, pages, single
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.items import Code
from labels.drawing.layout import lay_out
from labels.drawing.pdf import NoLabelsError, labels_pdf
from shopstock.calc.stock_code import group_code
from tests.labels.examples import (
    LONG_ADDRESS,
    container_label,
    labels_of_every_kind,
    long_roll_label,
    place_label,
    roll_label,
)
from tests.labels.reading import centre, read_codes, texts

POINT_MM = 25.4 / 72
RENDER_DPI = 300
SHEETS = [medium for medium in MEDIA if medium.labels_a_page > 1]


def pages_of(pdf):
    return list(pypdfium2.PdfDocument(pdf))


def picture_of(page):
    return page.render(scale=RENDER_DPI / 72, grayscale=True).to_pil()


def size_mm(page):
    return tuple(side * POINT_MM for side in page.get_size())


def full_sheet(medium):
    """All kinds in turn, each with a code of its own."""
    makers = [roll_label, container_label, long_roll_label, place_label]
    return [makers[number % 4](100 + number) for number in range(medium.labels_a_page)]


def drawn_centres(labels, medium):
    """Payload and centre in mm of every code that ought to be on the first sheet."""
    [sheet] = pages(medium, len(labels))
    return sorted(
        (label.payload, slot.x + item.x + half, slot.y + item.y + half)
        for label, slot in zip(labels, sheet, strict=True)
        for item in lay_out(label, medium).items
        if isinstance(item, Code)
        for half in [len(item.matrix) * item.module_mm / 2]
    )


def found_centres(page):
    to_mm = 25.4 / RENDER_DPI
    found = [(code.text, centre(code)) for code in read_codes(picture_of(page))]
    return sorted((text, x * to_mm, y * to_mm) for text, (x, y) in found)


def misplaced(wanted, found):
    """What is missing, or farther than 0.2 mm from its place."""
    return [
        (text, x, y)
        for text, x, y in wanted
        if not any(text == other and abs(x - a) <= 0.2 and abs(y - b) <= 0.2 for other, a, b in found)
    ]


@pytest.mark.parametrize("medium", SHEETS, ids=lambda medium: medium.name)
def test_every_code_of_a_full_sheet_reads_back_in_its_place(medium):
    labels = full_sheet(medium)
    [page] = pages_of(labels_pdf(labels, medium))
    wanted, found = drawn_centres(labels, medium), found_centres(page)
    assert len(found) == len(wanted)
    assert misplaced(wanted, found) == []


def test_sheet_drawn_to_other_sizes_is_noticed():
    medium = SHEETS[0]
    labels = full_sheet(medium)
    [page] = pages_of(labels_pdf(labels, replace(medium, pitch_x=66.3)))
    assert misplaced(drawn_centres(labels, medium), found_centres(page))


@pytest.mark.parametrize("medium", MEDIA, ids=lambda medium: medium.name)
def test_page_has_exactly_the_size_of_the_medium(medium):
    [page] = pages_of(labels_pdf([roll_label()], medium))
    assert size_mm(page) == pytest.approx((medium.page_w, medium.page_h), abs=0.1)


@pytest.mark.parametrize("medium", MEDIA, ids=lambda medium: medium.name)
def test_every_kind_with_a_long_address_reads_back(medium):
    labels = list(labels_of_every_kind(LONG_ADDRESS).values())
    copies = 2 if medium.label_w >= 60 else 1
    found = [text for page in pages_of(labels_pdf(labels, medium)) for text in texts(picture_of(page))]
    assert sorted(found) == sorted([label.payload for label in labels] * copies)


def test_started_sheet_is_printed_from_its_first_free_label():
    medium = SHEETS[0]
    first, second = pages_of(labels_pdf([roll_label(number) for number in range(4)], medium, first_free_slot=20))
    assert sorted(y for _, _, y in found_centres(first)) == pytest.approx([254, 254, 270, 270], abs=3)
    assert min(y for _, _, y in found_centres(second)) == pytest.approx(25, abs=3)


def test_printer_correction_moves_every_code():
    medium = SHEETS[1]
    labels = full_sheet(medium)
    [page] = pages_of(labels_pdf(labels, replace(medium, offset_x=1.5, offset_y=-2.0)))
    moved = [(text, x + 1.5, y - 2.0) for text, x, y in drawn_centres(labels, medium)]
    assert misplaced(moved, found_centres(page)) == []


def test_text_of_the_pdf_can_be_searched():
    label = roll_label()
    [page] = pages_of(labels_pdf([label], MEDIA[5]))
    words = page.get_textpage().get_text_bounded()
    assert group_code(label.code) in words
    assert "Woven roving 600 g/m², E-glass" in words


def test_title_names_the_labels_and_the_medium():
    document = pypdfium2.PdfDocument(labels_pdf([roll_label(1), roll_label(2)], MEDIA[5]))
    assert document.get_metadata_value("Title") == "2 labels: Label printer, 100 x 50 mm"


def test_pdf_asks_the_printer_not_to_scale():
    assert b"/PrintScaling /None" in labels_pdf([roll_label()], MEDIA[0])


def test_same_labels_give_the_same_bytes():
    labels = full_sheet(SHEETS[0])
    assert labels_pdf(labels, SHEETS[0]) == labels_pdf(labels, SHEETS[0])


def test_no_labels_are_refused():
    with pytest.raises(NoLabelsError, match="Choose at least one"):
        labels_pdf([], MEDIA[0])


def test_wrong_medium_slot_and_label_are_refused():
    with pytest.raises(MediumError, match="overlap"):
        labels_pdf([roll_label()], replace(SHEETS[0], pitch_x=10))
    with pytest.raises(SlotError, match="labels 1 to 21"):
        labels_pdf([roll_label()], SHEETS[0], first_free_slot=22)
    with pytest.raises(LabelTooSmallError, match="too small for a roll label"):
        labels_pdf([roll_label()], single("tiny", 20, 20))
