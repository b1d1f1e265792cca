"""Every form and filter of every page filled with nonsense: an answer in words, never a crash, the ledger whole."""

import itertools
import os
from html.parser import HTMLParser

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import resolve
from hypothesis import HealthCheck, Phase, given, note, settings
from hypothesis import strategies as st

from shopstock.ledger_check import differences
from shopstock.roles import ACTIONS
from tests.repo.demo_shop import demo_people, every_address, without_a_trace
from tests.repo.test_every_view_by_role import status_of

NASTY = [
    "", " ", "0", "-1", "-0", "1e999", "nan", "inf", "99999999999999999999", "2147483648", "9223372036854775808",
    "0.0000001", "12,5 m", "1 m\x00", "\x00", "x" * 10_000, "9" * 400, "e\u0301\u0323\u00fc", "\u0663 m",
    "\U0001f9f5" * 50, "\u202eabc", "\ud7ff", "';--", "<b>x</b>", "{{ 7*7 }}", "%s%n", "../../etc/passwd",
    "2026-02-30", "0001-01-01", "9999-12-31", "31.12.2026", "2026-03-29T02:30", "on", "true", "None",
    "[]", '{"a":1}', "=1+1", "a\r\nSet-Cookie: x=1", "1/0", "10 parsecs", "1 m 1 m", "NaN m",
]  # fmt: skip
FILES = [
    b"",
    b"\x00" * 100,
    b"%PDF-1.7",
    b"\x89PNG\r\n\x1a\n" + b"x" * 50,
    b"a;b;c\n1;2",
    b"PK\x03\x04junk",
    "ü;ö\n".encode("utf-16"),
]
values = st.one_of(
    st.sampled_from(NASTY),
    st.text(st.characters(codec="utf-8"), max_size=60),
    st.integers(-(10**20), 10**20).map(str),
    st.floats().map(str),
)


class Forms(HTMLParser):
    """The forms of a page: (method, action, {field: what stands in it}), files apart."""

    def __init__(self):
        super().__init__()
        self.found: list[tuple[str, str, dict[str, str], set[str]]] = []

    def handle_starttag(self, tag, attrs):
        names = dict(attrs)
        if tag == "form":
            self.found.append((names.get("method", "get").lower(), names.get("action") or "", {}, set()))
        elif tag in ("input", "select", "textarea") and names.get("name") and self.found:
            is_file = names.get("type") == "file"
            self.found[-1][3 if is_file else 2].add(names["name"]) if is_file else self.found[-1][2].setdefault(
                names["name"], names.get("value") or ""
            )


def forms_of(device: Client) -> list[tuple[str, str, dict[str, str], set[str]]]:
    found = {}
    for page in every_address():
        with without_a_trace():
            answer = device.get(page.address, follow=True)
        if status_of(answer) != 200 or "text/html" not in answer.headers["Content-Type"]:
            continue
        reader = Forms()
        reader.feed(answer.content.decode())
        for method, action, fields, files in reader.found:
            where = action or page.address
            if not where.startswith("/sign-out"):
                found[method, where.partition("?")[0], tuple(fields)] = (method, where, fields, files)
    return list(found.values())


@pytest.fixture
def sign_in(db, tmp_path, monkeypatch):
    people = demo_people(tmp_path / "labels.pdf", monkeypatch)

    def as_role(role: str) -> Client:
        device = Client()
        device.force_login(people[role])
        return device

    return as_role


TIMES = int(os.environ.get("FUZZ_TIMES", "1"))
EXAMPLES = {"owner": 150, "clerk": 50, "laminator": 40}


def is_open_to(role: str, address: str) -> bool:
    view = resolve(address.partition("?")[0]).func
    return not hasattr(view, "shop_action") or role in ACTIONS[view.shop_action]


def test_nonsense_in_any_form_gets_an_answer_in_words(sign_in):
    """The owner sees every form; the others send those that are open to them."""
    forms = forms_of(sign_in("owner"))
    for role in EXAMPLES:
        own = [form for form in forms if is_open_to(role, form[1])]
        assert len(own) > 20
        send_nonsense(sign_in(role), role, own)


def send_nonsense(device: Client, role: str, forms) -> None:
    @settings(
        max_examples=EXAMPLES[role] * TIMES, derandomize=True, deadline=None, database=None,
        suppress_health_check=list(HealthCheck), phases=[Phase.generate],  # to make a failure small takes minutes
    )  # fmt: skip
    @given(st.data())
    def fill_in(data):
        note(role)
        method, where, fields, files = data.draw(st.sampled_from(forms), label="form")
        entry = {name: data.draw(st.one_of(st.just(was), values), label=name) for name, was in fields.items()}
        uploads = {name: SimpleUploadedFile("stock.csv", data.draw(st.sampled_from(FILES))) for name in sorted(files)}
        with without_a_trace():
            answer = (device.get if method == "get" else device.post)(where, entry | uploads)
            assert status_of(answer) < 500
            assert list(differences()) == []

    fill_in()


def test_wrong_kind_of_content_gets_an_answer(sign_in):
    """A form without fields is what a page makes of all kinds but the first, so of those it gets one in turn."""
    device = sign_in("owner")
    others = itertools.cycle(("application/json", "text/plain", "application/xml"))
    for page, kind in itertools.product(every_address(), ("multipart/form-data; boundary=x", None)):
        kind = kind or next(others)
        with without_a_trace():
            assert status_of(device.post(page.address, b'{"a": [1, \x00', content_type=kind)) < 500, (page.name, kind)


NAMES = ("page", "sort", "q", "_export", "code", "done", "all", "name", "since", "part", "run", "ply")
QUERIES = ("\x00", "-1", "9" * 40, "x" * 3000, "'\"<>", "csv", "é" * 5)


def test_query_that_makes_no_sense_gets_an_answer_on_every_page(sign_in):
    """Each page is asked three times, each name with another value, so that all pages together see every pair."""
    device = sign_in("owner")
    for number, page in enumerate(every_address()):
        for turn in range(3):
            values = {name: QUERIES[(place + 3 * turn + number) % len(QUERIES)] for place, name in enumerate(NAMES)}
            with without_a_trace():
                assert status_of(device.get(page.address, values)) < 500, (page.name, values)
