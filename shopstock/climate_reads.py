"""What the readings of places say: the last one, the band that what lies there may lie in, whether glass has rested."""

import datetime
from collections.abc import Iterable

from .calc import climate
from .calc.climate import Band, Reading, Rest
from .calc.forms import CORE
from .models import ClimateReading, Container, Movement, Place, Roll, Shop

GLASS = ("e_glass", "s_glass")
FRESH = datetime.timedelta(hours=36)
CAME_HERE = (Movement.Kind.RECEIPT, Movement.Kind.OFFCUT, Movement.Kind.MOVE, Movement.Kind.SPLIT)
WORKSHOP = Band(source="where laminating is done; class rules")


def as_reading(row: ClimateReading) -> Reading:
    humidity = None if row.humidity is None else float(row.humidity)
    return Reading(row.at, float(row.temperature_c), humidity)


def band_of(item: Roll | Container) -> Band:
    """What the product's own sheet says, or what is usual for its kind."""
    if isinstance(item, Container):
        product, kind = item.chemical, item.chemical.kind
        humidity = None
    else:
        product = item.reinforcement
        if product.is_prepreg and not _is_frozen(item):
            return Band()  # its hours out are counted instead
        kind = "prepreg" if product.is_prepreg else "core" if product.form == CORE else "fabric"
        humidity = product.store_max_humidity
    usual = climate.USUAL_BANDS.get(kind, Band())
    own = [product.store_min_c, product.store_max_c, humidity]
    if all(value is None for value in own):
        return usual
    limits = (None if value is None else float(value) for value in own)
    pairs = zip(limits, (usual.min_c, usual.max_c, usual.max_humidity), strict=True)
    return Band(*(mine if mine is not None else theirs for mine, theirs in pairs), source="the product’s own sheet")


def _is_frozen(roll: Roll) -> bool:
    return roll.place is not None and roll.place.kind == Place.Kind.FREEZER


def band_of_place(place: Place, items: Iterable[Roll | Container], shop: Shop) -> Band:
    """The band in which everything that lies there may lie; a workshop is also warm enough to laminate."""
    band = Band()
    if place.is_workshop:
        band = Band(min_c=float(shop.laminating_min_c), max_humidity=80, source=WORKSHOP.source)
    for item in items:
        band = band.narrowed_by(band_of(item))
    return band


def last_readings(at: datetime.datetime) -> dict[int, Reading]:
    """The last reading of each place in the week up to the moment, by the place's number."""
    return {place: readings[-1] for place, readings in readings_of_a_week(at).items()}


def last_reading(place: Place, at: datetime.datetime) -> Reading | None:
    """The last reading of one place in the week up to the moment."""
    since = at - datetime.timedelta(days=7)
    row = ClimateReading.objects.filter(place=place, at__gt=since, at__lte=at).order_by("-at").first()
    return as_reading(row) if row else None


def readings_of_a_week(at: datetime.datetime) -> dict[int, list[Reading]]:
    """The readings of the week up to the moment, oldest first, by the place's number."""
    found: dict[int, list[Reading]] = {}
    since = at - datetime.timedelta(days=7)
    for row in ClimateReading.objects.filter(at__gt=since, at__lte=at).order_by("at"):
        found.setdefault(row.place_id, []).append(as_reading(row))
    return found


def mean_of(place_id: int | None, at: datetime.datetime, hours: float = climate.REST_HOURS) -> Reading | None:
    """The mean of the last hours in a place."""
    if place_id is None:
        return None
    rows = ClimateReading.objects.filter(place_id=place_id, at__lte=at, at__gt=at - datetime.timedelta(hours=hours))
    return climate.mean_reading([as_reading(row) for row in rows])


def workshop() -> Place | None:
    return Place.objects.filter(is_workshop=True).order_by("pk").first()


def rest_of(roll: Roll, at: datetime.datetime) -> Rest | None:
    """Whether glass has rested before use; None for what is no glass, or where no workshop is named."""
    shop_place = workshop()
    if roll.reinforcement.fibre not in GLASS or roll.reinforcement.is_prepreg or shop_place is None:
        return None
    came = (
        roll.movements.filter(kind__in=CAME_HERE).order_by("-recorded_at", "-pk").values_list("recorded_at", flat=True)
    )
    arrived = came.first() or at
    hours = (at - arrived).total_seconds() / 3600
    in_shop = roll.place_id == shop_place.pk
    return climate.rested(hours, mean_of(roll.place_id, at), mean_of(shop_place.pk, at), in_shop=in_shop)
