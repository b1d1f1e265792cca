import itertools

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from shopstock.calc.stock_code import (
    ALPHABET,
    CODE_COUNT,
    CODE_LENGTH,
    DIGITS,
    LETTERS,
    WrongCodeError,
    check_code,
    explain_wrong_code,
    group_code,
    hybrid_check_character,
    make_code,
    near_codes,
    normalise_code,
    read_code,
)

ALPHANUMERIC = DIGITS + "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
numbers = st.integers(min_value=0, max_value=CODE_COUNT - 1)
places = st.integers(min_value=0, max_value=CODE_LENGTH - 1)
characters = st.sampled_from(ALPHABET)


def with_character(code, place, character):
    return code[:place] + character + code[place + 1 :]


def with_swap(code, place):
    return code[:place] + code[place + 1] + code[place] + code[place + 2 :]


@pytest.mark.parametrize(
    ("body", "alphabet", "check"),
    [
        ("A12425GABC1234002", ALPHANUMERIC, "M"),  # the example published for MOD 37,36
        ("0794", DIGITS, "5"),  # the standard's example for MOD 11,10
    ],
)
def test_check_character_of_a_published_example(body, alphabet, check):
    assert hybrid_check_character(body, alphabet) == check


def test_check_character_over_an_odd_alphabet_is_refused():
    with pytest.raises(ValueError, match="even number"):
        hybrid_check_character("12", "012")


def test_alphabet_holds_no_look_alike_and_no_letter_that_moves_between_keyboards():
    assert set(ALPHANUMERIC) - set(ALPHABET) == set("ILOU" + "YZ" + "AQWM")


@given(numbers)
@example(0)
@example(CODE_COUNT - 1)
def test_made_code_is_seven_characters_that_check(number):
    code = make_code(number)
    assert (len(code), code[0] in LETTERS, set(code) <= set(ALPHABET), check_code(code)) == (7, True, True, True)


@given(numbers, numbers)
def test_two_numbers_never_share_a_code(one, other):
    assume(one != other)
    assert make_code(one) != make_code(other)


def test_codes_of_neighbouring_numbers_differ_in_most_characters():
    codes = [make_code(number) for number in range(200)]
    differing = [sum(a != b for a, b in zip(*pair, strict=True)) for pair in itertools.pairwise(codes)]
    assert min(differing) >= 4


@pytest.mark.parametrize("number", [-1, CODE_COUNT])
def test_number_outside_the_range_is_refused(number):
    with pytest.raises(ValueError, match="190102015"):
        make_code(number)


def test_random_codes_check_and_do_not_repeat():
    codes = {make_code() for _ in range(50)}
    assert len(codes) == 50
    assert all(check_code(code) for code in codes)


@given(numbers, places, characters)
def test_every_single_wrong_character_is_caught(number, place, character):
    code = make_code(number)
    assume(code[place] != character)
    assert not check_code(with_character(code, place, character))


def test_997_of_1000_swapped_neighbours_are_caught():
    """Over all states of the sum and all pairs of characters the system MOD 27,26 misses 52 swaps of 16,900."""
    swaps = [
        (code, swapped)
        for code in map(make_code, range(3000))
        for place in range(CODE_LENGTH - 1)
        if (swapped := with_swap(code, place)) != code
    ]
    caught = sum(not check_code(swapped) for _, swapped in swaps)
    assert 0.995 < caught / len(swaps) < 1


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        (" b7k 2f9t ", "B7K2F9T"),
        ("B7K-2F9T", "B7K2F9T"),
        ("b7o2f9l", "B702F91"),
        ("BIZ2F9T", "B122F9T"),
        ("B7K\u20132F9T\r\n", "B7K2F9T"),
        ("\uff22\uff17\uff2b2F9T", "B7K2F9T"),
    ],
)
def test_typed_text_is_tidied(typed, code):
    assert normalise_code(typed) == code


@given(st.text(max_size=12))
def test_tidying_twice_changes_nothing_more(text):
    assert normalise_code(normalise_code(text)) == normalise_code(text)


@given(st.text(max_size=12))
def test_any_text_is_either_right_or_explained(text):
    assert check_code(text) == (explain_wrong_code(text) == "")


@given(numbers)
def test_code_read_from_its_printed_groups_is_itself(number):
    code = make_code(number)
    assert read_code(group_code(code).lower()) == code


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "No code was given. Type the 7 characters that stand large on the label."),
        ("NT35KG", "A code has 7 characters; NT35KG has 6. Type it again from the label."),
        ("0" * 400, f"A code has 7 characters; {'0' * 20}… has 400. Type it again from the label."),
        ("NT35KGCC", "A code has 7 characters; NT35KGCC has 8. Type it again from the label."),
        ("NT3?KGQ", "No code has ? or Q in it. Read the large characters on the label again."),
        ("8T35KGC", "A code starts with a letter; 8T3 5KGC starts with 8. Read the first character again."),
        ("NT35KCG", "NT3 5KCG does not check: a character is wrong or two are swapped. Compare it with the label."),
    ],
)
def test_wrong_code_is_told_what_is_wrong(typed, message):
    with pytest.raises(WrongCodeError) as caught:
        read_code(typed)
    assert str(caught.value) == message


@given(numbers, places, characters)
def test_near_codes_of_one_wrong_character_hold_the_right_one(number, place, character):
    code = make_code(number)
    assert code in near_codes(with_character(code, place, character))


@given(numbers, st.integers(min_value=0, max_value=CODE_LENGTH - 2))
def test_near_codes_of_a_caught_swap_hold_the_right_one(number, place):
    code = make_code(number)
    swapped = with_swap(code, place)
    assume(swapped == code or not check_code(swapped))
    assert code in near_codes(swapped)


@given(st.text(alphabet=ALPHABET, min_size=CODE_LENGTH, max_size=CODE_LENGTH))
def test_near_codes_are_all_right_codes(text):
    assert all(check_code(code) for code in near_codes(text))


def test_near_codes_put_a_look_alike_first():
    assert make_code(5) == "CCH2FT1"
    assert near_codes("GCH2FT1")[0] == "CCH2FT1"


def test_near_codes_of_a_short_text_are_none():
    assert near_codes("NT35K") == []
