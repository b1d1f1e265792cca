"""The band of a roll: marks that stay inside the drawing, feet where the shop counts in feet, what is left over."""

import pytest

from shopstock.calc.strip_picture import LeftOver, Piece, Span, draw_strip


def ticks(length_mm: int, **how) -> list[tuple[str, str]]:
    return [(tick.name, tick.anchor) for tick in draw_strip(length_mm, 1_000, **how).ticks]


def test_first_and_last_mark_hang_inwards():
    assert ticks(10_000)[0] == ("0 m", "start")
    assert ticks(10_000)[1] == ("1 m", "middle")
    assert ticks(10_000)[-1] == ("10 m", "end")


def test_last_mark_well_inside_stands_in_the_middle():
    assert ticks(10_400)[-1] == ("10 m", "middle")


def test_marks_are_feet_in_a_us_shop():
    assert [name for name, _ in ticks(10_000, system="us")] == [
        "0 ft", "5 ft", "10 ft", "15 ft", "20 ft", "25 ft", "30 ft",
    ]  # fmt: skip
    second = draw_strip(3_048, 1_000, system="us").ticks[1]
    assert (second.name, second.x) == ("1 ft", 110.0)


def test_part_of_a_roll_is_drawn_from_the_free_end_and_says_that_it_goes_on():
    picture = draw_strip(50_000, 1_000, blanks=[Piece(0, 0, 2_500, 500, "Hull 1")], shown_mm=5_000)
    assert (picture.blanks[0].width, picture.goes_on) == (500.0, True)
    assert not draw_strip(50_000, 1_000, shown_mm=60_000).goes_on


def test_faults_beyond_the_part_that_is_drawn_are_left_out_and_one_across_its_end_is_clipped():
    faults = [Span(4_000, 6_000, "crease"), Span(20_000, 21_000, "wet")]
    picture = draw_strip(50_000, 1_000, faults=faults, shown_mm=5_000)
    assert [(box.name, box.width) for box in picture.faults] == [("crease", 200.0)]


def test_offcuts_and_dead_ends_are_told_apart_by_word_and_kind():
    left = [LeftOver(0, 500, 2_000, 500, kept=True), LeftOver(2_000, 0, 100, 1_000, kept=False)]
    boxes = draw_strip(10_000, 1_000, left_over=left).left_over
    assert [(box.name, box.kind) for box in boxes] == [("offcut to keep", "offcut"), ("too short to use", "dead-end")]
    assert (boxes[0].x, boxes[0].y, boxes[0].width, boxes[0].height) == (10.0, 82.0, 200.0, 48.0)


def test_outline_is_drawn_by_its_own_corners():
    piece = Piece(1_000, 0, 1_000, 500, "Rib 1", outline=((0, 0), (1_000, 0), (0, 500)))
    assert draw_strip(10_000, 1_000, blanks=[piece]).blanks[0].points == "110.0,34.0 210.0,34.0 110.0,82.0"


@pytest.mark.parametrize(("along_mm", "has_arrow"), [(2_000, True), (200, False)])
def test_warp_arrow_is_drawn_in_blanks_with_room_for_it(along_mm, has_arrow):
    blank = draw_strip(10_000, 1_000, blanks=[Piece(0, 0, along_mm, 800, "Hull 1")]).blanks[0]
    assert bool(blank.arrow) == has_arrow


def test_name_with_its_job_keeps_the_piece_when_room_is_short():
    piece = Piece(0, 0, 1_000, 800, "Workboat 7: Hull 5")
    box = draw_strip(10_000, 1_000, blanks=[piece]).blanks[0]
    assert (box.short, box.closer) == ("Hull 5", "Workboat 7: Hull 5")


def test_words_of_an_outline_stand_on_the_piece_and_not_in_its_hollow():
    bracket = ((0, 0), (1_000, 0), (1_000, 200), (200, 200), (200, 1_000), (0, 1_000))
    box = draw_strip(10_000, 1_000, blanks=[Piece(0, 0, 1_000, 1_000, "Knee 3", outline=bracket)]).blanks[0]
    along_mm, across_mm = (box.middle_x - 10) * 10, (box.middle_y - 34) * 1_000 / 96
    assert across_mm < 200 or along_mm < 200
