"""Readings that a sensor or a script sends: POST with its token, answered in JSON.

curl -H "Authorization: Bearer TOKEN" -d temperature_c=20.4 -d humidity=55 http://127.0.0.1:8000/climate/readings/
"""

import datetime
import json
import math

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.csrf import csrf_exempt

from shopstock.calc.climate import Reading, ReadingError
from shopstock.call_counts import calls_in_minute, count_call
from shopstock.models import ClimateReading, Sensor
from shopstock.tokens import hash_of

from .actions import store_reading

READINGS_A_MINUTE = 30
WRONG_TOKENS_A_MINUTE = 10
MOST_BYTES = 10_000
AHEAD = datetime.timedelta(minutes=10)
EARLIEST_YEAR = 2000  # a clock that was never set starts at 1970


class NotUnderstood(ValueError):
    """What was sent is no reading."""


@csrf_exempt
@login_not_required
def receive(request: HttpRequest) -> JsonResponse:
    """201 for a reading stored, 200 for one that was there; 400, 401, 405 and 429 store nothing and say why."""
    if request.method != "POST":
        return _answer(405, "Send readings with POST.")
    at = timezone.now()
    sender = f"climate-wrong:{request.META.get('REMOTE_ADDR', '')}"[:80]
    if calls_in_minute(sender, at) >= WRONG_TOKENS_A_MINUTE:
        return _answer(429, "Too many wrong tokens. Wait a minute.")
    sensor = _sensor(request)
    if sensor is None:
        count_call(sender, at)
        return _answer(401, "That token is not known here, or its sensor was stopped. Ask the owner for a new one.")
    if count_call(f"climate-sensor:{sensor.pk}", at) > READINGS_A_MINUTE:
        return _answer(429, f"More than {READINGS_A_MINUTE} readings a minute. Send one every few minutes.")
    try:
        values = _values(request)
        reading = _reading(values, at)
        sure = str(values.get("sure", "")).lower() in ("1", "true", "yes")
        new = store_reading(sensor.place, reading, source=ClimateReading.Source.SENSOR, sensor=sensor, sure=sure)
    except (NotUnderstood, ReadingError) as error:
        return _answer(400, str(error))
    return JsonResponse({"stored": int(new), "place": sensor.place.name}, status=201 if new else 200)


def _answer(status: int, message: str) -> JsonResponse:
    response = JsonResponse({"stored": 0, "message": message}, status=status)
    if status == 401:
        response["WWW-Authenticate"] = "Bearer"
    elif status == 429:
        response["Retry-After"] = "60"
    elif status == 405:
        response["Allow"] = "POST"
    return response


def _sensor(request: HttpRequest) -> Sensor | None:
    kind, _, token = request.headers.get("Authorization", "").partition(" ")
    if kind.lower() != "bearer" or not token.strip():
        return None
    found = Sensor.objects.filter(token_hash=hash_of(token.strip()), stopped_at__isnull=True)
    return found.select_related("place").first()


def _values(request: HttpRequest) -> dict:
    if int(request.META.get("CONTENT_LENGTH") or 0) > MOST_BYTES:
        raise NotUnderstood("That is too much for one reading.")
    if request.content_type != "application/json":
        return request.POST.dict()
    try:
        values = json.loads(request.body)
    except (ValueError, RecursionError):
        raise NotUnderstood("That is no JSON.") from None
    if not isinstance(values, dict):
        raise NotUnderstood("Send one reading: temperature_c, and if you have it humidity.")
    return values


def _reading(values: dict, now: datetime.datetime) -> Reading:
    in_c, in_f = _number(values, "temperature_c"), _number(values, "temperature_f")
    if (in_c is None) == (in_f is None):
        raise NotUnderstood("Send either temperature_c or temperature_f.")
    temperature_c = in_c if in_c is not None else round((in_f - 32) / 1.8, 1)
    return Reading(_moment(values.get("at"), now), temperature_c, _number(values, "humidity"))


def _number(values: dict, name: str) -> float | None:
    if values.get(name) in (None, ""):
        return None
    try:
        number = float(values[name])
    except (TypeError, ValueError, OverflowError):
        raise NotUnderstood(f"{name} is no number.") from None
    if not math.isfinite(number):
        raise NotUnderstood(f"{name} is no number.")
    return number


def _moment(text, now: datetime.datetime) -> datetime.datetime:
    if not text:
        return now.replace(microsecond=0)
    try:
        at = parse_datetime(str(text))
    except ValueError:
        at = None
    if at is None:
        raise NotUnderstood("at is no moment. Write it like 2026-03-02T14:30:00Z.")
    if at.year < EARLIEST_YEAR:
        raise NotUnderstood("at is long past. Set the clock of the sensor.")
    at = at if at.tzinfo else timezone.make_aware(at)
    if at > now + AHEAD:
        raise NotUnderstood("at lies in the future. Set the clock of the sensor.")
    return at
