import datetime
import hashlib

import pytest

from shopstock.calc.hash_chain import START, canonical, link

BERLIN = datetime.timezone(datetime.timedelta(hours=2))


def test_line_is_written_with_sorted_names_and_without_what_is_empty():
    assert canonical({"reason": "", "delta_mm": -50, "by_id": None, "kind": "cut"}) == b'{"delta_mm":-50,"kind":"cut"}'


def test_zero_is_not_empty():
    assert canonical({"delta_mm": 0}) == b'{"delta_mm":0}'


def test_same_instant_in_two_time_zones_is_written_alike():
    noon = datetime.datetime(2026, 3, 2, 12, 0, tzinfo=datetime.UTC)
    assert canonical({"at": noon}) == canonical({"at": noon.astimezone(BERLIN)})
    assert canonical({"at": noon}) == b'{"at":"2026-03-02T12:00:00.000000+00:00"}'


def test_text_is_written_as_utf_8():
    assert canonical({"reason": "Ø 3 m"}) == '{"reason":"Ø 3 m"}'.encode()


@pytest.mark.parametrize("value", [1.5, b"x", True, ["x"]])
def test_value_that_has_no_place_in_a_line_is_refused(value):
    with pytest.raises(TypeError):
        canonical({"x": value})


def test_link_is_the_hash_of_form_link_before_and_line():
    assert link(START, {}) == hashlib.sha256(b"1\n\n{}").hexdigest()
    assert link("abc", {"n": 1}) == hashlib.sha256(b'1\nabc\n{"n":1}').hexdigest()
