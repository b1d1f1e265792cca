import pytest

from shopstock.calc.strip_picture import Piece, draw_zoom


def test_strip_is_drawn_at_one_scale_along_and_across():
    zoom = draw_zoom(2_000, 1_000, [])
    assert (zoom.band.width, zoom.band.height, zoom.is_long) == (840.0, 420.0, True)


def test_long_strip_fills_the_length_and_short_one_the_height():
    assert draw_zoom(10_000, 1_000, []).band.width == 1_000.0
    short = draw_zoom(500, 1_000, [])
    assert (short.band.width, short.band.height, short.is_long) == (210.0, 420.0, False)


def test_blanks_lie_where_they_are_cut_and_carry_their_number():
    pieces = [Piece(0, 0, 1_000, 500, "Hull 1"), Piece(1_000, 500, 1_000, 500, "Hull 2", turned=True)]
    first, second = draw_zoom(2_000, 1_000, pieces).blanks
    assert (first.x, first.y, first.width, first.height, first.short) == (26.0, 26.0, 420.0, 210.0, "1 Hull 1")
    assert (second.x, second.y, second.kind, second.short) == (446.0, 236.0, "turned", "2 Hull 2")


def test_blank_too_small_for_words_keeps_its_number():
    assert draw_zoom(10_000, 1_000, [Piece(0, 0, 300, 200, "Stiffener 4")]).blanks[0].short == "1"


@pytest.mark.parametrize("size", [(0, 1_000), (1_000, 0)])
def test_strip_of_no_size_is_refused(size):
    with pytest.raises(ValueError, match="above 0 mm"):
        draw_zoom(*size, [])
