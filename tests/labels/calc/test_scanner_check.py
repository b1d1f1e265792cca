import pytest

from labels.calc.qr_payload import VERSION_3_CHARACTERS
from labels.calc.scanner_check import TEST_TEXT, check_scanner, named

GERMAN = str.maketrans("YZ:/-", "ZYÖ-?")


def test_plain_scanner_changes_nothing():
    assert check_scanner(TEST_TEXT).is_plain
    assert check_scanner(f"{TEST_TEXT}\r").is_plain


def test_small_letters_are_no_change():
    check = check_scanner(TEST_TEXT.lower())
    assert (check.is_plain, check.lower_case) == (True, True)


def test_other_keyboard_is_told_character_by_character():
    check = check_scanner(TEST_TEXT.translate(GERMAN))
    assert check.changed == (("Y", "Z"), ("Z", "Y"), (":", "Ö"), ("/", "-"), ("-", "?"))
    assert check.letters_swapped


def test_characters_that_do_not_arrive_are_counted():
    check = check_scanner(TEST_TEXT[:-3])
    assert (check.missing, check.extra, check.is_plain) == (3, 0, False)
    assert check_scanner(TEST_TEXT + "XX").extra == 2


@pytest.mark.parametrize(
    ("character", "name"), [("A", "A"), (" ", "space"), ("\x1d", "group separator"), ("\x07", "character 7")]
)
def test_characters_are_named_as_they_can_be_seen(character, name):
    assert named(character) == name


def test_test_code_fits_a_label():
    assert len(TEST_TEXT) <= VERSION_3_CHARACTERS
    assert len(set(TEST_TEXT)) == len(TEST_TEXT)
