import pytest
from hypothesis import given
from hypothesis import strategies as st

from labels.drawing.fonts import BOLD, REGULAR, cut_to, first_lines, ink_em, printable, width_em, wrapped


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("600 g/m² × 1270 mm – Škoda", "600 g/m² × 1270 mm – Škoda"),
        ("żółw ąę", "zółw ae"),
        ("лот 漢", "◊◊◊ ◊"),
        ("5″ → 6", '5" -> 6'),
        ("two\nlines\tof\x00text", "two lines of◊text"),
        ("", ""),
    ],
)
def test_characters_that_the_typeface_lacks_are_replaced(text, drawn):
    assert printable(text) == drawn


@given(st.text(max_size=40), st.sampled_from([REGULAR, BOLD]), st.floats(min_value=2, max_value=20))
def test_cut_text_stays_within_its_room(text, font, room):
    assert width_em(cut_to(printable(text), font, room), font) <= room + 1e-6


def test_cut_text_ends_in_an_ellipsis():
    assert cut_to("Woven roving", REGULAR, 4.5) == "Woven…"


def test_text_with_room_is_not_cut():
    assert cut_to("Woven roving", REGULAR, 10) == "Woven roving"


@given(st.text(alphabet="abc 12/-²", max_size=60), st.floats(min_value=2, max_value=12))
def test_wrapped_lines_stay_within_their_room_and_lose_nothing(text, room):
    lines = wrapped(printable(text), REGULAR, room)
    assert max((width_em(line, REGULAR) for line in lines), default=0) <= room
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_number_keeps_its_unit_when_a_line_wraps():
    assert wrapped("Woven roving 600 g/m²", REGULAR, 10.5) == ["Woven roving", "600 g/m²"]


def test_lines_beyond_the_count_are_cut_with_an_ellipsis():
    assert first_lines(["one", "two", "three"], 2, REGULAR, 4) == ["one", "two t…"]


def test_ink_of_a_letter_j_begins_left_of_where_it_is_set():
    assert ink_em("JFD", BOLD)[0] < 0 < ink_em("HFD", BOLD)[0]
