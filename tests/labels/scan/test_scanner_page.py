"""The page that shows what a keyboard scanner types."""

import pytest
from django.urls import reverse

from labels.calc.scanner_check import TEST_TEXT

from .conftest import words


def said(at_table, text: str) -> str:
    return words(at_table.get(reverse("scan-test"), {"text": text}))


def test_plain_scanner_is_told_so(at_table):
    assert f"All {len(TEST_TEXT)} characters arrive as they should." in said(at_table, TEST_TEXT)


def test_scanner_of_another_keyboard_is_told_what_arrives_as_what(at_table):
    text = said(at_table, TEST_TEXT.translate(str.maketrans(":/", "Ö-")))
    assert ": arrives as Ö, / arrives as -" in text
    assert "Labels are read all the same" in text


def test_scanner_that_swaps_letters_is_told_to_be_set(at_table):
    assert "Set the scanner to the keyboard" in said(at_table, TEST_TEXT.translate(str.maketrans("YZ", "ZY")))


def test_label_in_another_layout_is_read_and_mended(at_table):
    text = said(at_table, "HTTPSÖ--STORE.LAN-R-B000008")
    assert "It reads as a label: B000008." in text
    assert "the program mends it" in text


def test_text_that_is_no_label_says_what_is_wrong(at_table):
    assert "No label of this shop." in said(at_table, "HELLO")


@pytest.mark.parametrize(("person", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_page_is_open_to_every_role_and_nobody_else(client, request, person, status):
    client.force_login(request.getfixturevalue(person))
    assert client.get(reverse("scan-test")).status_code == status
