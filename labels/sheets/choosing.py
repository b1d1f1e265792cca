"""Which rolls and containers get a label."""

import datetime
from collections.abc import Iterable

from django.db.models import Q, QuerySet

from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.models import Container, Place, Roll
from shopstock.queries import find_rolls, open_containers, open_rolls

from .label_of import Item

MOST_FOUND = 60


def rolls_with_words() -> QuerySet[Roll]:
    return Roll.objects.select_related("reinforcement", "place").prefetch_related("reinforcement__layers")


def items_with(codes: Iterable[str]) -> list[Item]:
    """In the order of the codes, each once; what is no code, or one that nothing carries, is passed over."""
    wanted = list(dict.fromkeys(normalise_code(code) for code in codes if check_code(code)))
    rolls = rolls_with_words().filter(code__in=wanted)
    containers = Container.objects.filter(code__in=wanted).select_related("chemical", "place")
    places = Place.objects.filter(code__in=wanted)
    by_code = {item.code: item for item in (*places, *rolls, *containers)}
    return [by_code[code] for code in wanted if code in by_code]


def items_matching(words: str) -> list[Item]:
    rolls = find_rolls(words).filter(pk__in=open_rolls().values("pk")).prefetch_related("reinforcement__layers")
    found = [*rolls[:MOST_FOUND], *_containers_matching(words)[:MOST_FOUND], *_places_matching(words)[:MOST_FOUND]]
    return found[:MOST_FOUND]


def _places_matching(words: str) -> QuerySet[Place]:
    places = Place.objects.all()
    for word in words.split():
        places = places.filter(Q(code__icontains=word) | Q(name__icontains=word))
    return places


def _containers_matching(words: str) -> QuerySet[Container]:
    containers = open_containers()
    for word in words.split():
        containers = containers.filter(
            Q(code__icontains=word) | Q(batch__icontains=word) | Q(chemical__name__icontains=word)
        )
    return containers


def codes_received(on: datetime.date) -> list[str]:
    """Everything received or kept as an offcut on a day and still there, in the order in which it came."""
    rolls = open_rolls().filter(received_on=on).order_by("pk").values_list("code", flat=True)
    containers = open_containers().filter(received_on=on).order_by("pk").values_list("code", flat=True)
    return [*rolls, *containers]
