"""A shared tablet: name and PIN for one task, not enough for the owner's pages, ended from afar."""

import datetime

import pytest
from django.conf import settings
from django.contrib.auth.hashers import check_password
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shopstock.models import Pin, Tablet

PIN = "48151"


@pytest.fixture
def tablet(owner) -> Client:
    """A device that the owner made a shop tablet, and where nobody is signed in."""
    device = Client()
    device.force_login(owner)
    device.post(reverse("tablets"), {"name": "cutting table"})
    device.post(reverse("sign-out"))
    return device


def set_pin(person, pin: str = PIN):
    device = Client()
    device.force_login(person)
    return device.post(reverse("my-pin"), {"pin": pin, "again": pin})


def sign_in(device: Client, person, pin: str = PIN, **extra):
    return device.post(reverse("pin-sign-in"), {"username": person.username, "pin": pin, **extra})


def test_person_signs_in_by_name_and_pin(tablet, laminator):
    set_pin(laminator)
    answer = sign_in(tablet, laminator, next="/scan/")
    assert (answer.status_code, answer.url) == (302, "/scan/")
    assert tablet.get("/scan/").context["request"].user == laminator


def test_sign_in_page_of_a_tablet_asks_who_is_there(tablet, laminator):
    set_pin(laminator)
    page = tablet.get(reverse("sign-in") + "?next=/scan/", follow=True)
    assert ("Who is there?" in page.content.decode(), 'value="/scan/"' in page.content.decode()) == (True, True)


def test_password_still_works_on_a_tablet(tablet):
    assert "Password" in tablet.get(reverse("sign-in") + "?password=1").content.decode()


def test_device_that_is_no_tablet_has_no_pin_page(laminator):
    set_pin(laminator)
    device = Client()
    assert device.get(reverse("pin-sign-in")).url == reverse("sign-in")
    assert sign_in(device, laminator).url == reverse("sign-in")


def test_made_up_tablet_cookie_opens_nothing(laminator):
    set_pin(laminator)
    device = Client()
    device.cookies[settings.TABLET_COOKIE_NAME] = "x" * 43
    assert sign_in(device, laminator).url == reverse("sign-in")


def test_wrong_pin_is_refused_and_too_many_lock(tablet, laminator):
    set_pin(laminator)
    assert "That PIN is not right" in sign_in(tablet, laminator, "99999").content.decode()
    for _ in range(settings.AXES_FAILURE_LIMIT):
        answer = sign_in(tablet, laminator, "99999")
    assert (answer.status_code, sign_in(tablet, laminator).status_code) == (429, 429)


def test_owner_by_pin_may_not_open_the_owners_pages(tablet, owner):
    set_pin(owner)
    sign_in(tablet, owner)
    for name in ("people", "shop-settings", "tablets", "person-add", "ordering"):
        answer = tablet.get(reverse(name))
        assert (answer.status_code, "a PIN on a shared tablet is not enough" in answer.content.decode()) == (403, True)
    assert tablet.get(reverse("receive")).status_code == 200


def test_pin_cannot_change_the_pin(tablet, laminator):
    set_pin(laminator)
    sign_in(tablet, laminator)
    tablet.post(reverse("my-pin"), {"pin": "73951", "again": "73951"})
    assert check_password(PIN, Pin.objects.get().hashed)


def test_tablet_that_lies_idle_signs_out(tablet, laminator):
    set_pin(laminator)
    sign_in(tablet, laminator)
    soon = timezone.now() + datetime.timedelta(seconds=settings.TABLET_IDLE_SECONDS + 5)
    left = Session.objects.get(session_key=tablet.session.session_key).expire_date
    assert left < soon
    Session.objects.update(expire_date=timezone.now() - datetime.timedelta(seconds=1))
    assert tablet.get("/scan/").url.startswith(reverse("sign-in"))


def test_each_request_keeps_the_task_going(tablet, laminator):
    set_pin(laminator)
    sign_in(tablet, laminator)
    Session.objects.update(expire_date=timezone.now() + datetime.timedelta(seconds=20))
    tablet.get("/scan/")
    assert Session.objects.get(
        session_key=tablet.session.session_key
    ).expire_date > timezone.now() + datetime.timedelta(seconds=60)


def test_tablet_that_was_ended_signs_its_person_out(tablet, laminator, owner):
    set_pin(laminator)
    sign_in(tablet, laminator)
    desk = Client()
    desk.force_login(owner)
    desk.post(reverse("tablet-end", args=[Tablet.objects.get().pk]))
    assert tablet.get("/scan/").status_code == 302
    assert sign_in(tablet, laminator).url == reverse("sign-in")


def test_person_whose_sign_in_was_closed_is_not_offered(tablet, laminator):
    set_pin(laminator)
    laminator.is_active = False
    laminator.save()
    assert laminator.username not in tablet.get(reverse("pin-sign-in")).content.decode()
    assert sign_in(tablet, laminator).status_code == 200


def test_neither_pin_nor_token_is_stored_readable(tablet, laminator):
    set_pin(laminator)
    assert PIN not in Pin.objects.get().hashed
    assert tablet.cookies[settings.TABLET_COOKIE_NAME].value not in repr(Tablet.objects.values_list()[0])
    assert (
        tablet.cookies[settings.TABLET_COOKIE_NAME]["httponly"],
        tablet.cookies[settings.TABLET_COOKIE_NAME]["samesite"],
    ) == (True, "Lax")


@pytest.mark.parametrize("pin", ["1234", "11111", "12345", "98765", "abcde", "٤٨١٥١", "4815162342"])
def test_pin_that_is_short_guessable_or_no_digits_is_refused(laminator, pin):
    set_pin(laminator, pin)
    assert not Pin.objects.exists()


def test_clerk_makes_no_tablet(clerk, client):
    client.force_login(clerk)
    assert client.post(reverse("tablets"), {"name": "mine"}).status_code == 403
    assert not Tablet.objects.exists()


def test_page_of_a_tablet_has_a_button_for_the_next_person(tablet, laminator):
    set_pin(laminator)
    sign_in(tablet, laminator)
    assert "Done: next person" in tablet.get("/scan/").content.decode()
    answer = tablet.post(reverse("sign-out"), follow=True)
    assert "Who is there?" in answer.content.decode()


def test_page_of_a_password_sign_in_has_none(client, laminator):
    client.force_login(laminator)
    assert "next person" not in client.get("/scan/").content.decode()
