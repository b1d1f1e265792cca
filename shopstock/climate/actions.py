import datetime
from collections.abc import Iterable
from decimal import Decimal

from django.db import transaction

from shopstock.calc.climate import Reading, check_reading
from shopstock.climate_reads import as_reading
from shopstock.models import ClimateReading, Place, Sensor
from shopstock.tokens import new_token


def reading_before(place: Place, at: datetime.datetime) -> Reading | None:
    row = ClimateReading.objects.filter(place=place, at__lt=at).order_by("-at").first()
    return as_reading(row) if row else None


def store_reading(place: Place, reading: Reading, *, source: str, sure: bool = False, **who) -> bool:
    """Keep a reading; the same place and moment twice is one. Raises ReadingError for one that cannot or may not be.

    `sure` keeps one that looks like a slip.
    """
    check_reading(reading, None if sure else reading_before(place, reading.at))
    return _keep(place, reading, source=source, **who)


@transaction.atomic
def store_file(place: Place, readings: Iterable[Reading], *, by) -> tuple[int, int]:
    """How many were new, and how many were there already."""
    kept = [_keep(place, reading, source=ClimateReading.Source.FILE, by=by) for reading in readings]
    return sum(kept), len(kept) - sum(kept)


def _keep(place: Place, reading: Reading, *, source: str, by=None, sensor: Sensor | None = None) -> bool:
    tenth = Decimal("0.1")
    humidity = None if reading.humidity is None else Decimal(str(reading.humidity)).quantize(tenth)
    values = {"humidity": humidity, "source": source, "by": by, "sensor": sensor}
    temperature_c = Decimal(str(reading.temperature_c)).quantize(tenth)
    _, made = ClimateReading.objects.get_or_create(
        place=place, at=reading.at, defaults=values | {"temperature_c": temperature_c}
    )
    return made


def new_sensor(*, place: Place, name: str, by, at: datetime.datetime) -> tuple[Sensor, str]:
    """A sensor and its token, which is shown this once and kept nowhere."""
    token, token_hash = new_token()
    return Sensor.objects.create(place=place, name=name, token_hash=token_hash, made_by=by, made_at=at), token


def stop_sensor(*, sensor: Sensor, at: datetime.datetime) -> None:
    Sensor.objects.filter(pk=sensor.pk, stopped_at__isnull=True).update(stopped_at=at)
