"""Suppliers' labels: vectors of the GS1 General Specifications, with the prefix 952 that is set aside for examples."""

import datetime
from contextlib import suppress

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from labels.calc.supplier_label import GS, NotGS1Error, SupplierLabel, read_supplier_label

GTIN = "99521234567892"
ROLL = SupplierLabel(
    gtin=GTIN,
    lot="L2407A",
    serial="R000123",
    length_mm=100_000,
    width_mm=1_270,
    core_mm=76,
    winding="face out",
    splices=1,
)
ELEMENTS = f"01{GTIN}800112700010007601{GS}10L2407A{GS}21R000123"
PRINTED = f"(01){GTIN}(8001)12700010007601(10)L2407A(21)R000123"


def read(text: str) -> SupplierLabel:
    return read_supplier_label(text)


@pytest.mark.parametrize(
    "text",
    [
        ELEMENTS,
        f"]Q3{ELEMENTS}",
        f"]d2{ELEMENTS}",
        ELEMENTS.replace(GS, "<GS>"),
        ELEMENTS.replace(GS, "{GS}"),
        PRINTED,
        f"  {PRINTED}\r\n",
        f"https://id.example.com/01/{GTIN}/10/L2407A/21/R000123?8001=12700010007601",
        f"HTTPS://ID.EXAMPLE.COM/01/{GTIN}/10/L2407A/21/R000123?8001=12700010007601",
        f"https://example.com:8443/any/prefix/01/{GTIN}/10/L2407A/21/R000123?8001=12700010007601",
    ],
)
def test_roll_is_read_from_every_form_of_its_label(text):
    assert read(text) == ROLL


def test_code_made_and_read_by_another_library_says_the_same():
    code = zxingcpp.create_barcode(PRINTED, zxingcpp.BarcodeFormat.QRCode, ec_level="Q", gs1=True)
    [found] = zxingcpp.read_barcodes(code.to_image(scale=4))
    assert read(f"{found.symbology_identifier}{found.bytes.decode()}") == ROLL


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("(3113)012500", "length_mm", 12_500),
        ("(3112)012350", "length_mm", 123_500),
        ("(3123)001270", "width_mm", 1_270),
        ("(3103)001234", "net_g", 1_234),
        ("(3100)000025", "net_g", 25_000),
        ("(3200)000055", "net_g", 24_948),
        ("(11)260300", "made_on", datetime.date(2026, 3, 31)),
        ("(17)280229", "expires_on", datetime.date(2028, 2, 29)),
        ("(17)500101", "expires_on", datetime.date(2050, 1, 1)),
        ("(17)770101", "expires_on", datetime.date(1977, 1, 1)),
        ("(15)270131", "best_before", datetime.date(2027, 1, 31)),
    ],
)
def test_field_is_read_in_the_units_of_the_store(text, name, value):
    assert getattr(read(f"(01){GTIN}{text}"), name) == value


def test_day_00_is_the_last_of_the_month_and_known_as_such():
    label = read(f"(01){GTIN}(11)260300(17)270228")
    assert (label.made_on.day, label.names_month) == (31, frozenset({"made_on"}))


@pytest.mark.parametrize("order", ["(3113)012350(8001)12700001207601", "(8001)12700001207601(3113)012350"])
def test_exact_length_goes_before_the_whole_metres_of_the_roll(order):
    assert read(f"(01){GTIN}{order}").length_mm == 12_350


def test_splices_and_winding_that_are_unknown_are_left_open():
    label = read(f"(01){GTIN}(8001)12700010007699")
    assert (label.splices, label.winding, label.problems) == (None, "", ())


def test_article_number_that_does_not_check_is_not_used():
    label = read(f"(01){GTIN[:-1]}3(10)A")
    assert (label.gtin, label.lot) == ("", "A")
    assert label.problems == ("The article number 99521234567893 does not check: a digit is wrong or two are swapped.",)


def test_roll_of_no_size_and_no_known_winding_is_named():
    label = read(f"(01){GTIN}(8001)00000000000050")
    assert (label.width_mm, label.length_mm, label.core_mm) == (None, None, None)
    assert label.problems == (
        "The roll's width, length, core on the label cannot be 0: measure it.",
        "The label's winding, 5, means nothing: look how the roll is wound.",
    )


@pytest.mark.parametrize("text", ["(10)L2407A", "(3103)012500", "(3113)012350"])
def test_fields_that_need_an_article_say_so_without_one(text):
    assert read(text).problems == ("The label names no article (GTIN), so choose the material yourself.",)


def test_bar_code_of_an_article_gives_the_article_alone():
    assert read("9521234567899") == SupplierLabel(gtin="09521234567899")


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        (f"(01){GTIN}(17)270230", r"The field \(17\) of the label breaks the rules"),
        ("(8001)1270001000760", r"The field \(8001\) of the label breaks the rules"),
        (f"01{GTIN}800112700010007601 10L2407A21R000123", "The marks between the fields are missing"),
        (f"https://x.example/01/{GTIN}/21/A/10/B", "no supplier's label"),
        ("https://example.com/anything", "no supplier's label"),
        ("1234567890123", "is no article number"),
        ("<script>alert(1)</script>", "no supplier's label"),
        ("x" * 501, "far more text"),
        ("", "no supplier's label"),
    ],
)
def test_what_is_no_label_is_refused_with_what_to_do(text, answer):
    with pytest.raises(NotGS1Error, match=answer):
        read(text)


@given(st.text(max_size=80) | st.text("0123456789()ABC/:?=&\x1d", max_size=80))
def test_any_text_is_read_or_refused(text):
    with suppress(NotGS1Error):
        assert isinstance(read(text), SupplierLabel)
