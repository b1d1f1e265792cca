"""Warnings about places: the climate, what must not stand there, too much in a cabinet."""

import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence

from django.db.models import Q
from django.utils import timezone

from .calc.climate import Reading, outside
from .calc.neighbours import PREPREG, Breach
from .climate_reads import Product, band_of, band_of_place, last_readings, products_in, readings_of_a_week
from .ledger.standing import all_breaches, is_flammable, over_limit, sentences
from .models import Container, Place, Roll, Shop
from .queries import open_containers, open_rolls
from .watch_items import Severity, WatchItem
from .watch_risk import all_at_risk, container_name, roll_name, there_since

Item = Roll | Container
SILENT = datetime.timedelta(hours=36)


def wrong_climate(at: datetime.datetime, shop: Shop) -> Iterator[WatchItem]:
    """Places whose last reading is outside what lies there may lie in, and places whose readings have stopped."""
    last = last_readings(at)
    if not last:
        return
    lying, places = products_in(last), list(Place.objects.filter(pk__in=last))
    wrong = {place.pk: outside(last[place.pk], band_of_place(place, lying[place.pk], shop)) for place in places}
    outside_now = [place for place in places if wrong[place.pk]]
    readings, touched = readings_of_a_week(outside_now, at), _touched(outside_now, last)
    for place in places:
        if wrong[place.pk]:
            yield _outside(place, wrong[place.pk], readings[place.pk], touched[place.pk], shop)
        elif at - last[place.pk].at > SILENT:
            yield _silent(place, last[place.pk])


def _silent(place: Place, last: Reading) -> WatchItem:
    return WatchItem(
        kind="climate",
        severity=Severity.NOTE,
        what=f"{place}: no reading any more",
        cause=f"The last one came at {timezone.localtime(last.at):%Y-%m-%d %H:%M}.",
        to_do="Look at the sensor, or note a reading by hand.",
        page="place-climate",
        page_arg=place.pk,
        since=timezone.localdate(last.at),
        detail="silent",
    )


def _touched(places: Sequence[Place], last: dict[int, Reading]) -> defaultdict[int, list[Item]]:
    """What lies in the places and may not lie in what was read there last, by the place's number."""
    found: defaultdict[int, list[Item]] = defaultdict(list)
    if places:
        for item in (*open_rolls().filter(place__in=places), *open_containers().filter(place__in=places)):
            if outside(last[item.place_id], band_of(_product(item), item.place)):
                found[item.place_id].append(item)
    return found


def _product(item: Item) -> Product:
    return item.reinforcement if isinstance(item, Roll) else item.chemical


def _outside(place: Place, wrong: list[str], readings: Sequence[Reading], touched: list[Item], shop: Shop) -> WatchItem:
    peroxide = any(isinstance(item, Container) and item.chemical.kind == "peroxide" for item in touched)
    what = f"{len(touched)} thing{'' if len(touched) == 1 else 's'} there" if touched else "laminating is done there"
    return WatchItem(
        kind="climate",
        severity=Severity.URGENT if peroxide else Severity.SOON,
        what=f"{place}: {what}",
        cause=f"{'; '.join(wrong)}, at {timezone.localtime(readings[-1].at):%Y-%m-%d %H:%M}.",
        to_do="Put the climate right, or move what is there; then note a new reading."
        if touched
        else "Bring the shop to temperature before anything is mixed.",
        page="place-climate",
        page_arg=place.pk,
        since=timezone.localdate(_since(readings, place, touched, shop)),
        **all_at_risk(touched),
    )


def _since(readings: Sequence[Reading], place: Place, touched: list[Item], shop: Shop) -> datetime.datetime:
    """The first of the readings that have been outside without a break."""
    band = band_of_place(place, map(_product, touched), shop)
    first = readings[-1]
    for reading in reversed(readings):
        if not outside(reading, band):
            break
        first = reading
    return first.at


def wrong_places(shop: Shop) -> Iterator[WatchItem]:
    """What stands beside what it must not, or where it must not; prepreg out of the freezer has its own warning."""
    by_item: dict[Item, list[Breach]] = defaultdict(list)
    for item, _, breach in all_breaches():
        if breach.rule is None or breach.rule.subject != PREPREG:
            by_item[item].append(breach)
    neighbours = {breach.neighbour_code for found in by_item.values() for breach in found if breach.neighbour_code}
    since = there_since({item.code for item in by_item} | neighbours)
    for item, found in by_item.items():
        yield _wrong_place(item, found, since, shop)


def _wrong_place(item: Item, found: list[Breach], since: dict[str, datetime.date], shop: Shop) -> WatchItem:
    is_roll = isinstance(item, Roll)
    refused = any(breach.is_refused for breach in found)
    beside = any(breach.neighbour for breach in found)
    here = since[item.code]
    begun = [max(here, since.get(breach.neighbour_code, here)) for breach in found]  # since both of a pair are there
    return WatchItem(
        kind="neighbour",
        severity=Severity.URGENT if refused else Severity.SOON,
        what=roll_name(item, shop) if is_roll else container_name(item, shop),
        cause=" ".join(sentences(found)),
        to_do="Move it, or what stands beside it, now." if beside else "Move it.",
        page="roll-move" if is_roll else "container-move",
        page_arg=item.code,
        since=min(begun),
        **all_at_risk([item]),
    )


def full_cabinets(shop: Shop) -> Iterator[WatchItem]:
    """Flammables cabinets that hold more litres than the shop allows."""
    by_place: dict[Place, list[Container]] = defaultdict(list)
    for container in open_containers().filter(Q(place__kind=Place.Kind.CABINET) | Q(place__flammable_limit_l__gt=0)):
        if is_flammable(container):
            by_place[container.place].append(container)
    for place, containers in by_place.items():
        over = over_limit(place, containers, shop)
        if over:
            yield WatchItem(
                kind="cabinet",
                severity=Severity.URGENT,
                what=f"{place}: {len(containers)} containers of flammable liquid",
                cause=f"{over}. The limit is the shop’s own; the local fire code goes first.",
                to_do="Move some to another cabinet, or send it back.",
                page="place",
                page_arg=place.pk,
                since=max(there_since({container.code for container in containers}).values(), default=None),
                **all_at_risk(containers),
            )
