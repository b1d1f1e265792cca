"""The watch in a person's calendar, and in the morning's mail."""

import datetime
from collections.abc import Iterable

from django.urls import reverse

from .calc.calendar_feed import Event, calendar_feed
from .models import Shop
from .roles import role_of
from .watch_answers import Watched, watched
from .watch_items import KINDS, Severity, WatchItem

PRIORITY = {Severity.URGENT: 1, Severity.SOON: 5, Severity.NOTE: 9}


def feed_of(person, *, on: datetime.date, at: datetime.datetime) -> str:
    """Every warning for the person's role on the day it is due, or until which it was put off; others today."""
    shop = Shop.current()
    events = [_event(one, on, shop) for one in watched(role_of(person), on, at)]
    return calendar_feed(events, name=f"{shop.name}: storage watch", made_at=at)


def _event(one: Watched, on: datetime.date, shop: Shop) -> Event:
    item, answer = one.item, one.answer
    day = answer.until if one.is_put_off else item.due
    lines = [item.cause, item.to_do, *_when(item), *_risks(item, shop)]
    if answer is not None:
        lines.append(f"{answer.get_kind_display()} by {answer.by}: {answer.reason}".capitalize())
    return Event(
        uid=f"{item.name}@{_host(shop)}",
        on=max(day or on, on),
        summary=f"{KINDS[item.kind]}: {item.what}",
        description="\n".join(lines),
        url=link_of(item, shop),
        category=KINDS[item.kind],
        priority=PRIORITY[item.severity],
    )


def _host(shop: Shop) -> str:
    return shop.address.partition("://")[2].partition(":")[0] or "store"


def link_of(item: WatchItem, shop: Shop) -> str:
    return f"{shop.address}{reverse(item.page, args=[item.page_arg])}"


def _when(item: WatchItem) -> list[str]:
    return [f"{item.when[:1].upper()}{item.when[1:]}."] if item.when else []


def _risks(item: WatchItem, shop: Shop) -> list[str]:
    risk = item.risk(shop.units, shop.currency)
    return [f"At risk: {risk}"] if risk else []


def mail_of(found: Iterable[Watched], on: datetime.date, shop: Shop) -> tuple[str, str] | None:
    """Subject and text of the morning's mail; None when nothing is left unanswered."""
    items = [one.item for one in found if one.answer is None]
    if not items:
        return None
    urgent = sum(item.is_urgent for item in items)
    head = f"{urgent} urgent, " if urgent else ""
    subject = f"{shop.name}, {on}: {head}{len(items)} in all on the storage watch"
    blocks = [_block(item, shop) for item in items]
    end = "Answer them on the watch page: " + f"{shop.address}{reverse('watch')}"
    overrides = "The products’ own sheets and local codes override this."
    return subject, "\n\n".join([*blocks, end, overrides]) + "\n"


def _block(item: WatchItem, shop: Shop) -> str:
    mark = "URGENT: " if item.is_urgent else ""
    return "\n".join(
        [
            f"{mark}{KINDS[item.kind]}: {item.what}",
            item.cause,
            item.to_do,
            *_when(item),
            *_risks(item, shop),
            link_of(item, shop),
        ]
    )
