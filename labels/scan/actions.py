"""What a laminator does at the table, each a call of the ledger after a look at whether the page was still true."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Movement, Roll, SetAside, Shop

from .lookup import NothingFound, find
from .next_cut import next_cut, offcut_key, pieces_left

NEXT_HAS_CHANGED = "That cut was already made, or the plan has changed. This is what is next now."


class PageOutOfDate(ledger.StaleStock):
    """The roll has changed since the page was opened."""


class NoSuchPiece(ledger.LedgerError):
    """The piece to keep is none of that cut."""


class SomeoneElses(ledger.LedgerError):
    """A cut kept on a shared device by somebody who has signed out since."""


class NoRoll(ledger.LedgerError):
    """The code of a cut told afterwards names no roll."""


def tell_queued_cut(*, entry: dict, by: AbstractBaseUser, at: datetime.datetime) -> Movement:
    """Enter a cut that was made while the phone had no network; with a cause, a length that was cut away."""
    if entry["person"] != by.pk:
        raise SomeoneElses("Another person made this cut. It is sent when they sign in on this device.")
    return ledger.record_queued_cut(
        roll=_roll_with(entry["code"]),
        length_mm=entry["length"],
        happened_at=entry["happened_at"],
        set_aside=SetAside.objects.filter(pk=entry["promise"]).first(),
        reason=entry["purpose"],
        cause=entry["cause"],
        by=by,
        at=at,
        key=entry["key"],
    )


def _roll_with(code: str) -> Roll:
    try:
        found = find(code)
    except NothingFound as error:
        raise NoRoll(str(error)) from None
    if not isinstance(found, Roll):
        raise NoRoll(f"{code} is a container. Nothing can be cut from it: look which roll was meant.")
    return found


def cut_planned(
    *, roll: Roll, promise_id: int, length_mm: int, by: AbstractBaseUser, at: datetime.datetime, key: str
) -> Movement:
    """Cut what is next; a page on which something else was next is out of date."""
    if not _was_sent(key):
        promise = next_cut(roll).promise
        if promise is None or promise.pk != promise_id:
            raise PageOutOfDate(NEXT_HAS_CHANGED)
    promise = SetAside.objects.filter(pk=promise_id).first()
    return ledger.record_cut(roll=roll, length_mm=length_mm, by=by, at=at, key=key, set_aside=promise)


def cut_away(*, roll: Roll, length_mm: int, by: AbstractBaseUser, at: datetime.datetime, key: str) -> Movement:
    """Cut away what lies before the next clean cloth; the length must still be the one that the page showed."""
    reason, cause = "", ""
    if not _was_sent(key):
        wanted = next_cut(roll).cut_away
        if wanted is None or wanted.length_mm != length_mm:
            raise PageOutOfDate("The free end of the roll has changed. This is how it lies now.")
        reason, cause = wanted.reason, wanted.cause
    return ledger.record_loss(roll=roll, length_mm=length_mm, by=by, at=at, key=key, reason=reason, cause=cause)


def keep_offcut(*, movement: Movement, number: int, by: AbstractBaseUser, at: datetime.datetime) -> Roll:
    """Make a piece left over by a cut stock of its own; a second wish for the same piece gives the same offcut."""
    piece = next((piece for piece in pieces_left(movement, Shop.current()) if piece.number == number), None)
    if piece is None:
        raise NoSuchPiece("That piece is not left of this cut any more. Measure it and log it on the roll's page.")
    return ledger.record_offcut(
        parent=movement.roll,
        width_mm=piece.width_mm,
        length_mm=piece.length_mm,
        by=by,
        at=at,
        key=offcut_key(movement, number),
        cut=movement,
    )


def report_fault(
    *,
    roll: Roll,
    from_mm: int,
    to_mm: int,
    cause: str,
    note: str,
    by: AbstractBaseUser,
    at: datetime.datetime,
    key: str,
    across_mm: tuple[int, int] | None = None,
    photo: str = "",
) -> list[SetAside]:
    """Returns what was set aside and had to be given back, because the fault lies where it should come from."""
    fault = FoundFault(from_mm, to_mm, cause, note, across_mm, photo)
    return ledger.report_fault(roll=roll, fault=fault, by=by, at=at, key=key)[1]


def _was_sent(key: str) -> bool:
    return Movement.objects.filter(key=key).exists()
