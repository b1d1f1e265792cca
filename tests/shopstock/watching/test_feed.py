"""The feed and the morning's mail; the feed is read by a calendar library that is not ours."""

import datetime

import pytest
from django.core import mail
from django.core.management import call_command
from django.urls import reverse
from icalendar import Calendar

from shopstock.models import FeedAddress, Shop
from shopstock.watch_answers import answer, watched
from shopstock.watching.actions import give_feed, stop_feed
from tests.factories import NOON, TODAY, make_chemical, make_container


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def drum(clerk, planned):
    resin = make_chemical("Resin; orthophthalic, \\white\\ für Schiffsrümpfe ± Überschuss, laminating grade 42")
    return make_container(by=clerk, chemical=resin, label_date=day(10))


@pytest.fixture
def address(clerk) -> str:
    return reverse("watch-feed", args=[give_feed(person=clerk, at=NOON)])


def read(client, address: str):
    answered = client.get(address)
    assert answered.headers["Content-Type"] == "text/calendar; charset=utf-8"
    return Calendar.from_ical(answered.content)


def events(client, address: str) -> list:
    return list(read(client, address).walk("VEVENT"))


def test_calendar_program_reads_the_warning_on_the_day_it_is_due(client, drum, address):
    (event,) = events(client, address)
    assert event["SUMMARY"] == f"Resin near its date: {drum.chemical} {drum.code}, 20.00 kg"
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (day(10), day(11))
    assert "Use 20.00 kg by 2026-03-12 or lose it.\nSince 2026-03-02, by 2026-03-12.\nAt risk: " in event["DESCRIPTION"]
    assert event["URL"] == f"http://127.0.0.1:8000/resins/{drum.code}/"
    assert event["DTSTAMP"].dt == NOON


def test_event_keeps_its_id_from_day_to_day(client, drum, address, monkeypatch):
    (first,) = events(client, address)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + datetime.timedelta(days=3))
    (second,) = events(client, address)
    assert first["UID"] == second["UID"]


def test_lines_are_folded_at_75_octets_and_end_as_the_standard_asks(client, drum, address):
    content = client.get(address).content
    assert content.endswith(b"END:VCALENDAR\r\n")
    lines = content.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert all(b"\n" not in line for line in lines)
    assert sum(line.startswith(b" ") for line in lines) > 1


def test_warning_put_off_stands_on_the_day_it_comes_back(client, drum, address, clerk):
    (one,) = watched("clerk", TODAY, NOON)
    answer(item=one.item, kind="put off", reason="holidays", by=clerk, at=NOON, until=day(20))
    (event,) = events(client, address)
    assert event["DTSTART"].dt == day(20)
    assert "holidays" in event["DESCRIPTION"]


def test_calendar_without_warnings_is_a_calendar_all_the_same(client, planned, address):
    calendar = read(client, address)
    assert (calendar["VERSION"], list(calendar.walk("VEVENT"))) == ("2.0", [])


def test_address_is_private_and_a_wrong_one_is_not_found(client, drum, address):
    assert client.get(address[:-5] + "x.ics").status_code == 404
    assert client.post(address).status_code == 405


def test_new_address_stops_the_old_one(client, drum, address, clerk):
    give_feed(person=clerk, at=NOON)
    assert client.get(address).status_code == 404


def test_stopped_calendar_and_closed_sign_in_give_nothing(client, drum, address, clerk):
    clerk.is_active = False
    clerk.save()
    assert client.get(address).status_code == 404
    clerk.is_active = True
    clerk.save()
    stop_feed(person=clerk)
    assert client.get(address).status_code == 404


def test_feed_holds_what_the_persons_role_may_see(client, drum, planned, laminator, address):
    Shop.objects.update_or_create(pk=1, defaults={"resin_warning_days": 5})  # near no more, unused still
    planned.needs_resin(drum.chemical, 1_000, 3)
    theirs = reverse("watch-feed", args=[give_feed(person=laminator, at=NOON)])
    assert (len(events(client, address)), len(events(client, theirs))) == (1, 0)


def test_address_is_shown_once_and_kept_as_a_hash(client, clerk):
    client.force_login(clerk)
    shown = client.post(reverse("watch-feed-new")).context["address"]
    token = shown.rpartition("/")[2].removesuffix(".ics")
    assert client.get(reverse("watch-feed", args=[token])).status_code == 200
    assert token not in str(FeedAddress.objects.values().get())
    client.post(reverse("watch-feed-new"), {"stop": "yes"})
    assert FeedAddress.objects.count() == 0


def test_mail_of_the_morning_goes_to_everybody_with_an_address_and_something_to_know(drum, clerk, owner, laminator):
    for person in (clerk, laminator):
        person.email = f"{person.username}@store.example"
        person.save()
    call_command("send_watch", verbosity=0)
    assert sorted(message.to[0] for message in mail.outbox) == ["carla@store.example", "luis@store.example"]
    message = mail.outbox[0]
    assert message.subject == "Our shop, 2026-03-02: 1 in all on the storage watch"
    assert "Use 20.00 kg by 2026-03-12 or lose it." in message.body
    assert f"http://127.0.0.1:8000/resins/{drum.code}/" in message.body


def test_mail_leaves_out_what_was_answered_and_is_not_sent_for_nothing(drum, clerk):
    clerk.email = "carla@store.example"
    clerk.save()
    (one,) = watched("clerk", TODAY, NOON)
    answer(item=one.item, kind="seen", reason="I know", by=clerk, at=NOON)
    call_command("send_watch", verbosity=0)
    assert mail.outbox == []


def test_own_address_is_set_and_a_wrong_one_refused(client, clerk):
    client.force_login(clerk)
    assert "Enter an e-mail address" in client.post(reverse("watch-mine"), {"email": "carla"}).content.decode()
    client.post(reverse("watch-mine"), {"email": "carla@store.example"})
    clerk.refresh_from_db()
    assert clerk.email == "carla@store.example"
