"""Readings that a sensor sends: stored, or refused with nothing stored."""

import datetime
from decimal import Decimal

import pytest
from django.core.cache import cache
from django.urls import reverse

from shopstock.calc.climate import Reading
from shopstock.climate.actions import new_sensor, stop_sensor, store_reading
from shopstock.climate.receiving import READINGS_A_MINUTE, WRONG_TOKENS_A_MINUTE
from shopstock.models import ClimateReading, Sensor
from tests.factories import NOON, make_place

HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def sensor_and_token(owner):
    return new_sensor(place=make_place("Resin room"), name="probe 1", by=owner, at=NOON)


@pytest.fixture
def send(client, sensor_and_token):
    _, token = sensor_and_token

    def sending(token=token, **values):
        cache.clear()  # as if another worker of the server answered: the database is all that they share
        return client.post(reverse("climate-readings"), values, headers={"Authorization": f"Bearer {token}"})

    return sending


def stored() -> list[tuple]:
    return list(ClimateReading.objects.order_by("at").values_list("place__name", "temperature_c", "humidity", "source"))


def test_reading_is_stored_for_the_place_of_the_sensor_at_the_present_moment(send, sensor_and_token):
    answer = send(temperature_c="20.4", humidity="55")
    assert (answer.status_code, answer.json()) == (201, {"stored": 1, "place": "Resin room"})
    assert stored() == [("Resin room", Decimal("20.4"), Decimal("55.0"), "sensor")]
    row = ClimateReading.objects.get()
    assert (row.at, row.sensor) == (NOON, sensor_and_token[0])


def test_reading_as_json_and_in_fahrenheit_is_stored_in_celsius(client, sensor_and_token):
    answer = client.post(
        reverse("climate-readings"),
        {"temperature_f": 68, "at": "2026-03-02T10:00:00Z"},
        content_type="application/json",
        headers={"Authorization": f"Bearer {sensor_and_token[1]}"},
    )
    assert answer.status_code == 201
    assert stored() == [("Resin room", Decimal("20.0"), None, "sensor")]


def test_same_moment_sent_twice_is_one_reading(send):
    codes = [send(temperature_c="20", at="2026-03-02T10:00:00Z").status_code for _ in range(2)]
    assert (codes, ClimateReading.objects.count()) == ([201, 200], 1)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({}, "either temperature_c or temperature_f"),
        ({"temperature_c": "20", "temperature_f": "68"}, "either temperature_c or temperature_f"),
        ({"temperature_c": "warm"}, "temperature_c is no number"),
        ({"temperature_c": "nan"}, "temperature_c is no number"),
        ({"temperature_c": "400"}, "no temperature of a store"),
        ({"temperature_c": "20", "at": "0001-01-01T00:00:00+14:00"}, "long past"),
        ({"temperature_c": "20", "at": "0001-01-01T00:00:00"}, "long past"),
        ({"temperature_c": "20", "humidity": "120"}, "Humidity goes from 0 to 100"),
        ({"temperature_c": "20", "at": "yesterday"}, "at is no moment"),
        ({"temperature_c": "20", "at": "2026-13-40T99:00:00"}, "at is no moment"),
        ({"temperature_c": "20", "at": "2026-03-02T15:00:00Z"}, "lies in the future"),
    ],
)
def test_bad_reading_gets_400_with_the_reason_and_nothing_is_stored(send, values, message):
    answer = send(**values)
    assert answer.status_code == 400
    assert message in answer.json()["message"]
    assert stored() == []


@pytest.mark.parametrize(
    "body",
    ["[1, 2]", "{", '"20"', "[" * 9_000, f'{{"temperature_c": {"9" * 4_000}}}'],
    ids=["list", "cut short", "text", "nested too deep", "number too long"],
)
def test_json_that_is_no_reading_gets_400(client, sensor_and_token, body):
    headers = {"Authorization": f"Bearer {sensor_and_token[1]}"}
    answer = client.post(reverse("climate-readings"), body, content_type="application/json", headers=headers)
    assert (answer.status_code, stored()) == (400, [])


def test_seventy_where_it_was_twenty_an_hour_ago_is_asked_about_and_stored_when_sure(send, sensor_and_token):
    place = sensor_and_token[0].place
    store_reading(place, Reading(NOON - HOUR, 20.0), source="sensor")
    answer = send(temperature_c="70")
    assert (answer.status_code, "70 °F is 21.1 °C" in answer.json()["message"]) == (400, True)
    assert ClimateReading.objects.count() == 1
    assert send(temperature_c="70", sure="1").status_code == 201


@pytest.mark.parametrize("token", ["", "wrong", "x" * 5000])
def test_wrong_token_gets_401_and_nothing_is_stored(send, token):
    answer = send(token=token, temperature_c="20")
    assert (answer.status_code, answer.headers["WWW-Authenticate"], stored()) == (401, "Bearer", [])


def test_stopped_sensor_gets_401(send, sensor_and_token):
    stop_sensor(sensor=sensor_and_token[0], at=NOON)
    assert send(temperature_c="20").status_code == 401


def test_too_many_readings_a_minute_get_429_and_are_not_stored(send):
    codes = [
        send(temperature_c="20", at=f"2026-03-02T10:{minute:02}:00Z").status_code
        for minute in range(READINGS_A_MINUTE + 1)
    ]
    assert codes == [201] * READINGS_A_MINUTE + [429]
    assert ClimateReading.objects.count() == READINGS_A_MINUTE


def test_guessing_tokens_gets_429_even_with_the_right_one_until_the_minute_is_over(send, monkeypatch):
    codes = [send(token="guess", temperature_c="20").status_code for _ in range(WRONG_TOKENS_A_MINUTE)]
    assert codes == [401] * WRONG_TOKENS_A_MINUTE
    assert send(temperature_c="20").status_code == 429
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + datetime.timedelta(minutes=1))
    assert send(temperature_c="20").status_code == 201


def test_reading_is_taken_by_post_only(client):
    assert client.get(reverse("climate-readings")).status_code == 405


def test_token_itself_is_kept_nowhere(sensor_and_token):
    sensor, token = sensor_and_token
    assert token not in str(Sensor.objects.values().get(pk=sensor.pk))
