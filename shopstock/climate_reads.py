"""What the readings of places say: the last one, the band that what lies there may lie in, whether glass has rested."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable

from django.db.models import OuterRef, Subquery

from .calc import climate
from .calc.climate import Band, Reading, Rest
from .calc.forms import CORE
from .models import Chemical, ClimateReading, Container, Movement, Place, Reinforcement, Roll, Shop
from .models.roll import STILL_OPEN

Product = Reinforcement | Chemical
GLASS = ("e_glass", "s_glass")
FRESH = datetime.timedelta(hours=36)
WEEK = datetime.timedelta(days=7)
CAME_HERE = (Movement.Kind.RECEIPT, Movement.Kind.OFFCUT, Movement.Kind.MOVE, Movement.Kind.SPLIT)
WORKSHOP = Band(source="where laminating is done; class rules")


def as_reading(row: ClimateReading) -> Reading:
    humidity = None if row.humidity is None else float(row.humidity)
    return Reading(row.at, float(row.temperature_c), humidity)


def band_of(product: Product, place: Place | None) -> Band:
    """What the product's own sheet says of where it lies, or what is usual for its kind."""
    if isinstance(product, Chemical):
        kind, humidity = product.kind, None
    else:
        if product.is_prepreg and (place is None or place.kind != Place.Kind.FREEZER):
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


def products_in(places: Iterable[int]) -> defaultdict[int, list[Product]]:
    """What lies in each of the places, by the place's number: a product once, however many rolls of it there are."""
    found: defaultdict[int, list[Product]] = defaultdict(list)
    for stock, kind, column in ((Roll, Reinforcement, "reinforcement_id"), (Container, Chemical, "chemical_id")):
        there = stock.objects.filter(closed_on=STILL_OPEN, place__in=places).order_by("place_id", column)
        pairs = list(there.values_list("place_id", column).distinct())
        products = kind.objects.in_bulk({product for _, product in pairs})
        for place, product in pairs:
            found[place].append(products[product])
    return found


def band_of_place(place: Place, products: Iterable[Product], shop: Shop) -> Band:
    """The band in which everything that lies there may lie; a workshop is also warm enough to laminate."""
    band = Band()
    if place.is_workshop:
        band = Band(min_c=float(shop.laminating_min_c), max_humidity=80, source=WORKSHOP.source)
    for product in products:
        band = band.narrowed_by(band_of(product, place))
    return band


def last_readings(at: datetime.datetime) -> dict[int, Reading]:
    """The last reading of each place in the week up to the moment, by the place's number."""
    of_place = ClimateReading.objects.filter(place=OuterRef("pk"), at__gt=at - WEEK, at__lte=at).order_by("-at")
    newest = Place.objects.order_by().annotate(newest=Subquery(of_place.values("pk")[:1])).values("newest")
    return {row.place_id: as_reading(row) for row in ClimateReading.objects.filter(pk__in=newest).order_by()}


def last_reading(place: Place, at: datetime.datetime) -> Reading | None:
    """The last reading of one place in the week up to the moment."""
    row = ClimateReading.objects.filter(place=place, at__gt=at - WEEK, at__lte=at).order_by("-at").first()
    return as_reading(row) if row else None


def readings_of_a_week(places: Collection[Place], at: datetime.datetime) -> dict[int, list[Reading]]:
    """The readings of some places in the week up to the moment, oldest first, by the place's number."""
    found: dict[int, list[Reading]] = {}
    if places:
        for row in ClimateReading.objects.filter(place__in=places, at__gt=at - WEEK, at__lte=at).order_by("at"):
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
