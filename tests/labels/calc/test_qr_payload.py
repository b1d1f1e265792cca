import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from labels.calc.qr_payload import (
    LongPayloadError,
    NotALabelError,
    Scanned,
    ShopAddressError,
    parse_scanned,
    payload,
    scan,
    symbol_version,
)
from shopstock.calc.stock_code import CODE_COUNT, WrongCodeError, check_code, make_code

codes = st.integers(min_value=0, max_value=CODE_COUNT - 1).map(make_code)
FRENCH = str.maketrans("1234567890:/-.", "&é\"'(-è_çàM!)" + ":")
BELGIAN = str.maketrans("1234567890:/-.", "&é\"'(§è!çàM=)" + ":")
GERMAN = str.maketrans(":/-", "Ö-ß")
SPANISH = str.maketrans(":/-", "Ñ-'")


@pytest.mark.parametrize(
    ("address", "kind", "text"),
    [
        ("https://store.lan", "R", "HTTPS://STORE.LAN/R/B000008"),
        ("https://store.lan/", "C", "HTTPS://STORE.LAN/C/B000008"),
        ("HTTP://192.168.1.20:8000", "P", "HTTP://192.168.1.20:8000/P/B000008"),
        ("https://bücher.example", "T", "HTTPS://XN--BCHER-KVA.EXAMPLE/T/B000008"),
    ],
)
def test_payload_is_a_short_address_in_capitals(address, kind, text):
    assert payload(address, "B000008", kind) == text


@pytest.mark.parametrize(
    ("address", "message"),
    [
        ("store.lan", "'store.lan' is no address for labels. Give it as https://host or http://host:port."),
        ("ftp://store.lan", "'ftp://store.lan' is no address for labels. Give it as https://host or http://host:port."),
        ("http://[::1", "'http://[::1' is no address for labels. Give it as https://host or http://host:port."),
        (
            "https://store.lan/shop",
            "Give the address of the host alone, without what follows it: 'https://store.lan/shop' has more.",
        ),
        (
            "https://my_store.lan",
            "MY_STORE.LAN has characters that a label's code cannot hold: use letters, digits, . and -.",
        ),
        ("https://a..b", "a..b is no host name. Check it for two dots in a row or a very long part."),
    ],
)
def test_address_that_a_label_cannot_hold_is_refused(address, message):
    with pytest.raises(ShopAddressError) as caught:
        payload(address, "B000008")
    assert str(caught.value) == message


def test_payload_of_47_characters_is_taken_and_of_48_refused():
    longest = payload("https://" + "a" * 25 + ".lan", "B000008")
    assert len(longest) == 47
    with pytest.raises(LongPayloadError, match="has 48 characters; a label's code takes 47. Use a shorter host name"):
        payload("https://" + "a" * 26 + ".lan", "B000008")


def test_payload_of_a_wrong_code_is_refused():
    with pytest.raises(WrongCodeError, match="does not check"):
        payload("https://store.lan", "B000009")


def test_payload_of_an_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="one of R, C, P, T, not 'X'"):
        payload("https://store.lan", "B000008", "X")


@pytest.mark.parametrize(("length", "version"), [(27, 2), (29, 2), (30, 3), (47, 3)])
def test_symbol_version_follows_the_length(length, version):
    assert symbol_version("A" * length) == version


def test_symbol_version_beyond_47_characters_is_refused():
    with pytest.raises(LongPayloadError):
        symbol_version("A" * 48)


@given(codes, st.sampled_from("RCPT"))
def test_printed_payload_scans_as_its_kind_and_code(code, kind):
    assert scan(payload("https://store.lan", code, kind)) == Scanned(kind, code)


@given(codes)
def test_address_of_another_host_in_small_letters_still_scans(code):
    assert parse_scanned(f" http://old-name.example:8000/r/{code.lower()}/?from=camera#top \r\n") == code


@given(codes)
def test_bare_code_in_groups_scans(code):
    assert scan(f"{code[:3]}-{code[3:]}".lower()) == Scanned("", code)


@pytest.mark.parametrize("keyboard", [GERMAN, SPANISH, FRENCH, BELGIAN])
@given(code=codes)
def test_address_typed_by_a_scanner_on_a_foreign_keyboard_scans(code, keyboard):
    typed = payload("https://my-store.lan", code, "C").translate(keyboard)
    assert scan(typed) == Scanned("C", code)


@pytest.mark.parametrize("keyboard", [FRENCH, BELGIAN])
@given(code=codes)
def test_bare_code_typed_by_a_scanner_on_a_foreign_keyboard_scans(code, keyboard):
    assume(set(code) & set("1234579"))
    typed = code.translate(keyboard)
    assert parse_scanned(typed) == code


def test_dash_of_a_short_code_is_not_taken_for_a_foreign_six():
    assert check_code("BJTT6DR")
    with pytest.raises(WrongCodeError, match="has 6"):
        parse_scanned("BJTT-DR")


def test_dashes_around_one_letter_do_not_make_an_address():
    code = make_code(1)
    assert parse_scanned(f"{code[:3]}-{code[3]}-{code[4:]}") == code


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "https://shop.example/",
            "https://shop.example/ is no label of this shop. Scan the code on one of its labels.",
        ),
        (
            "https://shop.example/x/B000008",
            "https://shop.example/x/B000008 is an address, but of no label. "
            "Scan the code on one of this shop's labels.",
        ),
        ("9" * 501, "That is far more text than a label holds. Scan the code on one of this shop's labels."),
    ],
)
def test_what_is_no_label_is_told_so(text, message):
    with pytest.raises(NotALabelError) as caught:
        parse_scanned(text)
    assert str(caught.value) == message


@pytest.mark.parametrize("text", ["https://store.lan/r/B000009", "B000009"])
def test_wrong_code_is_told_what_is_wrong(text):
    with pytest.raises(WrongCodeError, match="does not check"):
        parse_scanned(text)


@given(st.text(max_size=600))
def test_any_text_scans_or_is_refused_by_name(text):
    try:
        scanned = parse_scanned(text)
    except (NotALabelError, WrongCodeError):
        return
    assert check_code(scanned)
