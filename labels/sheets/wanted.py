"""The labels that are still to be printed, each with its reason."""

from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from labels.models import LabelWish
from labels.runs import Kind, printed
from shopstock.models import Roll
from shopstock.queries import open_containers, open_rolls

from .choosing import items_with
from .label_of import Item

MOST_WANTED = 300


@dataclass(frozen=True)
class WantedLabel:
    item: Item
    why: str


def wanted_labels() -> list[WantedLabel]:
    """Asked for first, then what has none yet, then what was moved since; each thing once."""
    reasons: dict[str, str] = {}
    for wish in LabelWish.objects.filter(run__isnull=True, dropped_at__isnull=True):
        reasons[wish.code] = wish.get_why_display()
    for stock in (open_rolls(), open_containers()):
        for item in _without_label(stock)[:MOST_WANTED]:
            reasons.setdefault(item.code, _has_none(item))
        for item in _moved(stock)[:MOST_WANTED]:
            reasons.setdefault(item.code, f"moved to {item.place.name if item.place else 'no place'}")
    items = items_with(list(reasons)[:MOST_WANTED])
    return [WantedLabel(item, reasons[item.code]) for item in items]


def _without_label(stock: QuerySet) -> QuerySet:
    return stock.filter(~Exists(_own_label())).order_by("pk")


def _own_label() -> QuerySet:
    """A label of a piece cut from a roll bears the roll's code, but is none of the roll's."""
    return printed().filter(code=OuterRef("code")).exclude(kind=Kind.PIECE)


def _moved(stock: QuerySet) -> QuerySet:
    """The last label names another place; a label in a drawer would say where the thing is not."""
    last = _own_label().order_by("-run__at", "-pk").values("place")[:1]
    named = stock.annotate(named=Subquery(last), here=Coalesce("place__name", Value("")))
    return named.filter(named__isnull=False).filter(~Q(named=F("here"))).order_by("pk")


def _has_none(item: Item) -> str:
    if isinstance(item, Roll) and item.kind == Roll.Kind.OFFCUT:
        return "kept as offcut"
    return f"received {item.received_on:%Y-%m-%d}"
