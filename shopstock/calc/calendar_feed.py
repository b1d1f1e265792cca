"""Warnings as an iCalendar stream (RFC 5545): one all-day event each, that blocks nobody's time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

LONGEST_LINE = 75  # octets, the line break not counted
PRODUCT = "-//Laminate store//Storage watch//EN"


@dataclass(frozen=True)
class Event:
    """An all-day event: an id that stays the same from day to day, its day, its texts; priority 1 (high) to 9."""

    uid: str
    on: date
    summary: str
    description: str
    url: str = ""
    category: str = ""
    priority: int = 5


def calendar_feed(events: Iterable[Event], *, name: str, made_at: datetime) -> str:
    """The stream as text with CRLF line ends, to be sent as UTF-8.

    ``made_at`` must know its zone. Source: RFC 5545, sections 3.1, 3.3.11, 3.6.1 and 3.8. Worked: one event → 1
    BEGIN:VEVENT, and no line above 75 octets.
    """
    stamp = made_at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"X-WR-CALNAME:{_text(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT1H",
    ]
    for event in events:
        lines += _event(event, stamp)
    return "".join(f"{_folded(line)}\r\n" for line in [*lines, "END:VCALENDAR"])


def _event(event: Event, stamp: str) -> list[str]:
    lines = [
        "BEGIN:VEVENT",
        f"UID:{_text(event.uid)}",
        f"DTSTAMP:{stamp}",
        f"DTSTART;VALUE=DATE:{event.on:%Y%m%d}",
        f"DTEND;VALUE=DATE:{event.on + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_text(event.summary)}",
        f"DESCRIPTION:{_text(event.description)}",
        f"PRIORITY:{event.priority}",
        "TRANSP:TRANSPARENT",
    ]
    if event.category:
        lines.append(f"CATEGORIES:{_text(event.category)}")
    if event.url:
        lines.append(f"URL:{event.url}")
    return [*lines, "END:VEVENT"]


def _text(words: str) -> str:
    """Escaped as 3.3.11 asks; other control characters are left out."""
    escaped = words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    escaped = escaped.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(letter for letter in escaped if letter >= " " or letter == "\t")


def _folded(line: str) -> str:
    """Broken after at most 75 octets, never inside a letter; every further line begins with a space."""
    pieces, size = [""], 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > LONGEST_LINE:
            pieces.append(" ")
            size = 1
        pieces[-1] += letter
        size += octets
    return "\r\n".join(pieces)
