"""The sheets of the shop: measured with a ruler, checked, and tried on paper."""

import io

import pypdfium2
import pytest
from django.urls import reverse

from labels.calc.sheet_geometry import MEDIA
from labels.media import offered
from labels.models import PrintMedium

from .conftest import pdf, read_pdf, sheet

OWN_SHEET = {
    "name": "Sheet from the drawer",
    "page_w": "210",
    "page_h": "297",
    "label_w": "90",
    "label_h": "50",
    "left": "10",
    "top": "20",
    "pitch_x": "95",
    "pitch_y": "55",
    "cols": "2",
    "rows": "5",
    "dpi": "600",
    "offset_x": "0",
    "offset_y": "0",
    "first_free": "1",
    "in_use": "on",
}


def add(client, **changes):
    return client.post(reverse("label-medium-add"), OWN_SHEET | changes)


def test_new_shop_starts_with_the_common_sheets(db):
    assert {row.name for row in offered()} == {medium.name for medium in MEDIA}
    assert {row.medium for row in offered()} == set(MEDIA)


def test_measured_sheet_is_kept_and_gives_readable_labels(at_desk, rolls):
    add(at_desk)
    row = PrintMedium.objects.get(name="Sheet from the drawer")
    codes = read_pdf(pdf(at_desk, rolls[:1], medium=row.key))
    assert set(codes[0]) == {f"HTTP://127.0.0.1:8000/R/{rolls[0].code}"}


@pytest.mark.parametrize(
    ("wrong", "field", "message"),
    [
        ({"label_w": "96", "pitch_x": "95"}, "__all__", "Columns 95 mm apart overlap: a label is 96 mm wide."),
        ({"cols": "3"}, "__all__", "The last column reaches 80.0 mm beyond the page of 210 mm."),
        ({"rows": "6"}, "__all__", "The last row reaches 48.0 mm beyond the page of 297 mm."),
        ({"label_w": "0"}, "__all__", "Give the width and height of page and label in mm, all more than 0."),
        ({"first_free": "11"}, "first_free", "The sheet has labels 1 to 10."),
        ({"page_w": "1e999"}, "page_w", "Enter a number, such as 1.5."),
        ({"pitch_y": "nan"}, "pitch_y", "Enter a number, such as 1.5."),
        ({"label_h": "wide"}, "label_h", "Enter a number, such as 1.5."),
        ({"offset_x": "9"}, "offset_x", "Enter 5 or less."),
        ({"dpi": "72"}, "dpi", "Enter 150 or more."),
        ({"name": "***"}, "name", "Give it a name with letters or digits."),
    ],
)
def test_measures_that_do_not_go_together_are_refused_and_kept(at_desk, wrong, field, message):
    page = add(at_desk, **wrong)
    assert page.context["form"].errors[field] == [message]
    assert page.context["form"].data.dict() == OWN_SHEET | wrong
    assert not PrintMedium.objects.filter(name=OWN_SHEET["name"]).exists()


def test_second_sheet_of_the_same_name_is_refused(at_desk):
    add(at_desk)
    assert "already" in add(at_desk, name="sheet FROM the drawer").context["form"].errors["name"][0]


def test_feed_error_of_a_printer_is_kept_with_its_sheet(at_desk, rolls):
    row = offered()[0]
    form = at_desk.get(reverse("label-medium", args=[row.pk])).context["form"].initial
    at_desk.post(reverse("label-medium", args=[row.pk]), form | {"offset_x": "1.5", "in_use": "on"})
    row.refresh_from_db()
    assert (row.offset_x, row.key) == (1.5, "a4-3-x-7-labels-of-63-5-x-38-1-mm")


def test_sheet_not_in_use_is_not_offered(at_desk, rolls):
    offered()
    PrintMedium.objects.filter(cols=3).update(in_use=False)
    choices = dict(sheet(at_desk, rolls).context["form"].fields["medium"].choices)
    assert len(choices) == len(MEDIA) - 3


@pytest.mark.parametrize("medium", MEDIA, ids=lambda medium: medium.name)
def test_trial_page_has_the_size_of_the_medium_and_says_what_to_measure(at_desk, medium):
    row = next(row for row in offered() if row.name == medium.name)
    answer = at_desk.get(reverse("label-trial-page", args=[row.pk]))
    page = pypdfium2.PdfDocument(io.BytesIO(answer.content))[0]
    assert [round(side * 25.4 / 72, 1) for side in page.get_size()] == [medium.page_w, medium.page_h]
    assert b"/PrintScaling /None" in answer.content
    words = " ".join(page.get_textpage().get_text_range().split())
    assert "Each ruler is" in words
    assert "from the left edge" in words


def test_cross_of_the_trial_page_lies_where_it_says(at_desk):
    row = offered()[0]
    page = pypdfium2.PdfDocument(io.BytesIO(at_desk.get(reverse("label-trial-page", args=[row.pk])).content))[0]
    scale = 600 / 72
    picture = page.render(scale=scale, grayscale=True).to_pil()
    x, y = 7.25 + 63.5 / 2, 15.15 + 38.1 / 2
    along = [picture.getpixel((round((x - 3) * 600 / 25.4), round(y * 600 / 25.4) + step)) for step in range(-2, 3)]
    down = [picture.getpixel((round(x * 600 / 25.4) + step, round((y - 3) * 600 / 25.4))) for step in range(-2, 3)]
    assert min(along) < 128
    assert min(down) < 128
