from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labels.calc.sheet_geometry import MEDIA, single
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.fonts import CAP_HEIGHT, DESCENT, ink_em
from labels.drawing.items import Arrow, Code, Rule, Text
from labels.drawing.layout import lay_out
from tests.labels.examples import (
    LONG_ADDRESS,
    SHORT_ADDRESS,
    container_label,
    labels_of_every_kind,
    long_roll_label,
    place_label,
    roll_label,
)

QUIET = 4
CASES = [
    pytest.param(label, medium, id=f"{kind}, {address}, {medium.name}")
    for address in (SHORT_ADDRESS, LONG_ADDRESS)
    for kind, label in labels_of_every_kind(address).items()
    for medium in MEDIA
]


def codes_of(drawing):
    return [item for item in drawing.items if isinstance(item, Code)]


def texts_of(drawing):
    return [item for item in drawing.items if isinstance(item, Text)]


def box_of(item):
    """left, top, right, bottom in mm; a code's box holds its quiet zone."""
    match item:
        case Code():
            quiet, side = QUIET * item.module_mm, len(item.matrix) * item.module_mm
            return item.x - quiet, item.y - quiet, item.x + side + quiet, item.y + side + quiet
        case Text():
            left, right = ink_em(item.text, item.font)
            top, bottom = item.baseline - CAP_HEIGHT * item.size, item.baseline + DESCENT * item.size
            return item.x + left * item.size, top, item.x + right * item.size, bottom
        case Rule():
            return item.x, item.y, item.x + item.length, item.y + item.thickness
        case Arrow():
            return item.x, item.y, item.x + item.w, item.y + item.h


def overlap(one, other, slack=0.01):
    a, b = box_of(one), box_of(other)
    return min(a[2], b[2]) - max(a[0], b[0]) > slack and min(a[3], b[3]) - max(a[1], b[1]) > slack


def assert_nothing_overlaps(drawing):
    for number, item in enumerate(drawing.items):
        for other in drawing.items[number + 1 :]:
            assert not overlap(item, other), (item, other)


def assert_all_inside(drawing, medium):
    boxes = [box_of(item) for item in drawing.items]
    inset_x, inset_y = medium.inset_x - 0.01, medium.inset_y - 0.01
    assert min(box[0] for box in boxes) >= inset_x
    assert min(box[1] for box in boxes) >= inset_y
    assert max(box[2] for box in boxes) <= drawing.width - inset_x
    assert max(box[3] for box in boxes) <= drawing.height - inset_y


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_label_keeps_everything_apart_and_inside(label, medium):
    drawing = lay_out(label, medium)
    assert_nothing_overlaps(drawing)
    assert_all_inside(drawing, medium)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(MEDIA),
    st.sampled_from([SHORT_ADDRESS, LONG_ADDRESS]),
    st.text(max_size=90),
    st.text(max_size=90),
    st.text(max_size=90),
)
def test_label_of_any_words_keeps_everything_apart_and_inside(medium, address, name, form, lot):
    label = roll_label(9, address, reinforcement=name, form=form, lot=lot)
    drawing = lay_out(label, medium)
    assert_nothing_overlaps(drawing)
    assert_all_inside(drawing, medium)


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_module_is_a_whole_number_of_dots_of_at_least_0_375_mm_and_at_most_1_mm(label, medium):
    for code in codes_of(lay_out(label, medium)):
        assert code.module_mm == pytest.approx(code.module_dots * 25.4 / medium.dpi)
        assert 0.375 <= code.module_mm <= 1.05


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_code_begins_on_a_whole_dot(label, medium):
    dots = [length / medium.dot_mm for code in codes_of(lay_out(label, medium)) for length in (code.x, code.y)]
    assert dots == pytest.approx([round(dot) for dot in dots], abs=1e-6)


@pytest.mark.parametrize("medium", [medium for medium in MEDIA if medium.label_w >= 60])
def test_label_of_60_mm_or_more_has_two_codes_at_opposite_ends(medium):
    first, second = codes_of(lay_out(roll_label(), medium))
    assert first.matrix == second.matrix
    assert second.x - first.x > medium.label_w / 2


def test_narrower_label_has_one_code():
    assert len(codes_of(lay_out(roll_label(), single("narrow", 57, 32)))) == 1


@pytest.mark.parametrize(("dpi", "dots"), [(203, 4), (300, 6), (600, 12)])
def test_module_is_half_a_millimetre_where_there_is_room(dpi, dots):
    codes = codes_of(lay_out(roll_label(), single("common", 100, 50, dpi)))
    assert {code.module_dots for code in codes} == {dots}


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_code_is_set_whole_in_the_largest_type_and_the_ply_on_a_cut_piece(label, medium):
    texts = texts_of(lay_out(label, medium))
    largest = max(texts, key=lambda text: text.size)
    assert largest.text.replace(" ", "") == (label.ply.replace(" ", "") if label.kind == "kit" else label.code)
    assert largest.size >= 4.9


@pytest.mark.parametrize(("label", "medium"), CASES)
def test_no_text_is_smaller_than_5_points(label, medium):
    assert min(text.size for text in texts_of(lay_out(label, medium))) >= 1.75 - 1e-9


def words_of(label, medium):
    return " ".join(text.text for text in texts_of(lay_out(label, medium)))


@pytest.mark.parametrize("medium", MEDIA)
@pytest.mark.parametrize("address", [SHORT_ADDRESS, LONG_ADDRESS])
def test_common_roll_label_says_everything_whole(address, medium):
    label = roll_label(1, address)
    assert words_of(label, medium) == (
        f"{label.code[:3]} {label.code[3:]} Woven roving 600 g/m², E-glass Roll: woven roving "
        + {
            1: "weight 600 g/m² (17.7 oz/yd²) width 1270 mm (50 in) lot L2407-A length 50.00 m on 2026-03-02 "
            "warp along length keep on the tube, do not fold",
            2: "weight 600 g/m² (17.7 oz/yd²) length 50.00 m on 2026-03-02 width 1270 mm (50 in) warp along length "
            "lot L2407-A keep on the tube, do not fold",
        }[columns_of(label, medium)]
    )


def columns_of(label, medium):
    captions = [text for text in texts_of(lay_out(label, medium)) if text.text in ("weight", "length")]
    return len({round(text.x, 3) for text in captions})


@pytest.mark.parametrize("medium", MEDIA)
def test_container_label_shows_every_hazard_code(medium):
    words = words_of(container_label(), medium)
    assert "GHS02 GHS07 GHS08 H226 H315 H332 H372" in words
    assert "first read the safety data sheet" in words


@pytest.mark.parametrize("medium", MEDIA)
def test_container_label_has_a_line_to_write_the_day_of_opening_on(medium):
    [line] = [item for item in lay_out(container_label(), medium).items if isinstance(item, Rule)]
    assert line.length >= 15


@pytest.mark.parametrize("medium", MEDIA)
def test_words_that_are_far_too_long_end_in_an_ellipsis(medium):
    assert "…" in words_of(long_roll_label(), medium)


def test_lot_that_does_not_fit_a_line_goes_on_in_the_next():
    lot = "LOT-2026-03-WK11-000018823-B/77-XYZ-REEL-04"
    drawing = lay_out(roll_label(lot=lot), MEDIA[0])
    pieces = [text.text for text in texts_of(drawing) if text.text and text.text in lot and text.text != "lot"]
    assert "".join(pieces) == lot
    assert len(pieces) == 2


@pytest.mark.parametrize(
    ("label", "size", "message"),
    [
        (
            roll_label(),
            (40, 20),
            "tiny is too small for a roll label, which needs about 45 x 28 mm: a code of 12.4 mm, the least that a "
            "phone reads at arm's length, and room for the text. Choose a larger label or, where the shop's address is "
            "long, a shorter host name.",
        ),
        (container_label(), (50, 15), "too small for a container label, which needs about 45 x 26 mm"),
        (place_label(), (30, 30), "too small for a place label, which needs about 45 x 17 mm"),
    ],
)
def test_medium_that_is_too_small_is_refused_with_the_reason(label, size, message):
    with pytest.raises(LabelTooSmallError) as caught:
        lay_out(label, single("tiny", *size))
    assert message in str(caught.value)


@pytest.mark.parametrize("label", [roll_label(), container_label(), place_label()])
def test_medium_of_the_size_that_the_refusal_names_is_taken(label):
    with pytest.raises(LabelTooSmallError) as caught:
        lay_out(label, single("tiny", 30, 10, dpi=203))
    size = str(caught.value).split("about ")[1].split(" mm")[0]
    width, height = (float(number) for number in size.split(" x "))
    assert codes_of(lay_out(label, single("named", width, height, dpi=203)))


def test_module_is_never_smaller_than_0_375_mm_however_tight_the_label():
    accepted = set()
    for width in range(30, 60):
        try:
            accepted |= {code.module_dots for code in codes_of(lay_out(roll_label(), single("any", width, 29, 300)))}
        except LabelTooSmallError:
            continue
    assert accepted == {5}


def test_printer_too_coarse_for_whole_dots_takes_the_next_larger_module():
    [code] = codes_of(lay_out(place_label(), replace(single("coarse", 57, 32), dpi=150)))
    assert code.module_dots == 3
