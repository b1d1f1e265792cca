from dataclasses import replace

import pytest

from labels.calc.sheet_geometry import (
    MEDIA,
    Medium,
    MediumError,
    Slot,
    SlotError,
    medium_problems,
    pages,
    single,
    slots,
)

SHEET = MEDIA[0]


def test_media_of_the_table_go_together():
    assert {medium.name: medium_problems(medium) for medium in MEDIA} == {medium.name: [] for medium in MEDIA}


def test_sheets_of_the_table_are_centred_on_their_page():
    off_centre = {
        medium.name: abs(2 * medium.left + (medium.cols - 1) * medium.pitch_x + medium.label_w - medium.page_w)
        + abs(2 * medium.top + (medium.rows - 1) * medium.pitch_y + medium.label_h - medium.page_h)
        for medium in MEDIA
    }
    assert max(off_centre.values()) <= 0.05


def test_slots_run_along_the_rows():
    found = slots(SHEET)
    assert (len(found), found[0], found[1], found[4], found[20]) == (
        21,
        Slot(1, 7.25, 15.15),
        Slot(2, 73.25, 15.15),
        Slot(5, 73.25, 53.25),
        Slot(21, 139.25, 243.75),
    )


def test_slots_of_a_started_sheet_begin_at_the_first_free_label():
    assert slots(SHEET, 20) == [Slot(20, 73.25, 243.75), Slot(21, 139.25, 243.75)]


def test_printer_correction_moves_every_slot():
    moved = slots(replace(SHEET, offset_x=0.5, offset_y=-1.25))
    assert [(round(b.x - a.x, 6), round(b.y - a.y, 6)) for a, b in zip(slots(SHEET), moved, strict=True)] == [
        (0.5, -1.25)
    ] * 21


@pytest.mark.parametrize("first", [0, 22, -1])
def test_first_label_outside_the_sheet_is_refused(first):
    with pytest.raises(SlotError, match=rf"has labels 1 to 21; there is no label {first}\."):
        slots(SHEET, first)


def test_labels_run_on_to_the_next_page_from_its_first_label():
    sheets = pages(SHEET, 25, first_free_slot=20)
    assert [[slot.number for slot in sheet] for sheet in sheets] == [[20, 21], list(range(1, 22)), [1, 2]]


def test_no_labels_take_no_page():
    assert pages(SHEET, 0) == []


def test_label_printer_prints_near_the_edge_and_an_office_printer_does_not():
    borderless = MEDIA[2]
    insets = (single("roll", 57, 32).inset_x, SHEET.inset_x, borderless.inset_x, round(borderless.inset_y, 6))
    assert insets == (1.0, 1.0, 4.3, 3.8)


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"label_w": 0}, "Give the width and height of page and label in mm, all more than 0."),
        ({"page_w": 21000}, "A page is at most 1000 mm long. Check the unit: sizes are in mm."),
        ({"rows": 0}, "A page has at least one column and one row of labels."),
        ({"dpi": 96}, "The printer needs 150 dots an inch or more; 96 is too coarse for a code."),
        ({"pitch_x": 60.0, "left": 0}, "Columns 60 mm apart overlap: a label is 63.5 mm wide."),
        ({"pitch_y": 38.0}, "Rows 38 mm apart overlap: a label is 38.1 mm high."),
        ({"left": -1}, "The first label starts outside the page: left and top are 0 mm or more."),
        ({"left": 20}, "The last column reaches 5.5 mm beyond the page of 210 mm."),
        ({"rows": 8}, "The last row reaches 22.9 mm beyond the page of 297 mm."),
    ],
)
def test_sizes_that_do_not_go_together_are_named(changes, problem):
    medium = replace(SHEET, **changes)
    assert medium_problems(medium) == [problem]
    with pytest.raises(MediumError) as caught:
        slots(medium)
    assert str(caught.value) == problem


def test_several_wrong_sizes_are_all_named():
    assert len(medium_problems(Medium("none", 210, 297, -1, 10, 0, 1, dpi=10))) == 3
