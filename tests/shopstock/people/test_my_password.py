"""People change their own password with the old one; other devices are signed out by it."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import PASSWORD

NEW = "another-twill-31"


@pytest.fixture
def device(laminator):
    device = Client()
    device.post(reverse("sign-in"), {"username": laminator.username, "password": PASSWORD})
    return device


def change(device, **fields):
    form = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    return device.post(reverse("my-password"), form | fields)


def test_person_changes_their_password_and_stays_signed_in(device, laminator):
    assert change(device).url == reverse("today")
    laminator.refresh_from_db()
    assert laminator.check_password(NEW)
    assert device.get(reverse("rolls")).status_code == 200


def test_other_devices_of_the_person_are_signed_out(device, laminator):
    other = Client()
    other.force_login(laminator)
    change(device)
    assert other.get(reverse("rolls")).status_code == 302


@pytest.mark.parametrize(
    "fields",
    [
        {"old_password": "wrong"},
        {"old_password": ""},
        {"new_password2": "different-31"},
        {"new_password1": "password1", "new_password2": "password1"},
        {"new_password1": "short", "new_password2": "short"},
    ],
)
def test_wrong_or_weak_change_is_refused(device, laminator, fields):
    assert change(device, **fields).status_code == 200
    laminator.refresh_from_db()
    assert laminator.check_password(PASSWORD)


@pytest.mark.parametrize(
    "password", ["ÅÄÖ ligger på bordet", "x" * 5 + "correct horse battery " * 5, "  spaces kept  "]
)
def test_password_of_any_characters_is_taken_as_it_is(device, laminator, password):
    change(device, new_password1=password, new_password2=password)
    laminator.refresh_from_db()
    assert laminator.check_password(password)


def test_sign_out_clears_what_the_browser_kept_of_the_pages(device):
    assert device.post(reverse("sign-out"))["Clear-Site-Data"] == '"cache"'
