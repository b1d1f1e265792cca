"""One line for each request: its number, page, status and time, and of the person no more than the number."""

import json
import logging

import pytest
from django.urls import reverse

from shopstock.request_log import JsonLines, current_request
from tests.factories import make_roll


@pytest.fixture
def lines(caplog):
    caplog.set_level(logging.INFO, logger="shopstock.requests")
    return lambda: [record for record in caplog.records if record.name == "shopstock.requests"]


def test_request_is_logged_with_its_number_and_without_the_person(client, clerk, lines):
    clerk.first_name = "Carla Example"
    clerk.save()
    client.force_login(clerk)
    roll = make_roll(by=clerk)
    answer = client.post(reverse("scan-cut-free", args=[roll.code]), {"key": "k", "length": "1 m", "purpose": "secret"})
    told = lines()[-1].told
    assert (told["page"], told["status"], told["user"], told["method"]) == ("scan-cut-free", 302, clerk.pk, "POST")
    assert len(answer["X-Request-Id"]) == 16
    assert not any(word in json.dumps(told) for word in ("Carla", "carla", "secret", "127.0.0.1"))


def test_slow_request_is_a_warning(client, clerk, lines, settings):
    settings.SLOW_REQUEST_SECONDS = 0
    client.force_login(clerk)
    client.get(reverse("rolls"))
    assert (lines()[-1].levelname, lines()[-1].getMessage()) == ("WARNING", "slow request")


def test_two_requests_have_two_numbers(client, db):
    assert client.get("/sign-in/")["X-Request-Id"] != client.get("/sign-in/")["X-Request-Id"]


def test_line_is_json_with_the_requests_number():
    record = logging.LogRecord("shopstock.requests", logging.INFO, "", 0, "request", None, None)
    record.told = {"status": 200}
    token = current_request.set("abc")
    try:
        line = json.loads(JsonLines().format(record))
    finally:
        current_request.reset(token)
    assert (line["request"], line["status"], line["level"], line["message"]) == ("abc", 200, "info", "request")


def test_error_in_a_line_keeps_its_traceback_on_one_line():
    try:
        raise ValueError("wrong")
    except ValueError as error:
        record = logging.LogRecord("x", logging.ERROR, "", 0, "failed", None, (ValueError, error, error.__traceback__))
    text = JsonLines().format(record)
    assert ("\n" in text, "ValueError: wrong" in json.loads(text)["error"]) == (False, True)
