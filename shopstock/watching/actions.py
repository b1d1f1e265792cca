import datetime

from shopstock.models import FeedAddress
from shopstock.tokens import new_token


def give_feed(*, person, at: datetime.datetime) -> str:
    """A new private address for a person's calendar; the one before it stops at once. The token is kept nowhere."""
    token, token_hash = new_token()
    FeedAddress.objects.update_or_create(person=person, defaults={"token_hash": token_hash, "made_at": at})
    return token


def stop_feed(*, person) -> None:
    FeedAddress.objects.filter(person=person).delete()


def set_email(*, person, email: str) -> None:
    person.email = email
    person.save(update_fields=["email"])
