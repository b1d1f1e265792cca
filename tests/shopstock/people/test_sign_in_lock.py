"""Too many wrong tries lock a sign-in for a while; the owner lifts the lock."""

import datetime

import pytest
from axes.models import AccessAttempt
from django.conf import settings
from django.test import Client
from django.urls import reverse

from tests.factories import PASSWORD


def tries(name: str, password: str, *, times: int = 1):
    for _ in range(times):
        answer = Client().post(reverse("sign-in"), {"username": name, "password": password})
    return answer


@pytest.fixture
def locked(laminator):
    tries(laminator.username, "wrong", times=settings.AXES_FAILURE_LIMIT)
    return laminator


def test_right_password_after_a_few_wrong_ones_signs_in(laminator):
    tries(laminator.username, "wrong", times=settings.AXES_FAILURE_LIMIT - 1)
    assert tries(laminator.username, PASSWORD).status_code == 302


def test_right_password_is_refused_while_the_sign_in_is_locked(locked):
    answer = tries(locked.username, PASSWORD)
    assert (answer.status_code, "ask the owner to lift the lock" in answer.content.decode()) == (429, True)


def test_others_sign_in_while_one_is_locked(locked, clerk):
    assert tries(clerk.username, PASSWORD).status_code == 302


def test_lock_ends_by_itself(locked):
    AccessAttempt.objects.update(attempt_time=AccessAttempt.objects.get().attempt_time - datetime.timedelta(minutes=16))
    assert tries(locked.username, PASSWORD).status_code == 302


def test_owner_sees_and_lifts_the_lock(locked, owner, client):
    client.force_login(owner)
    assert f"Lift the lock of {locked.username}" in client.get(reverse("people")).content.decode()
    client.post(reverse("person-unlock", args=[locked.pk]))
    assert "Lift the lock" not in client.get(reverse("people")).content.decode()
    assert tries(locked.username, PASSWORD).status_code == 302


def test_clerk_cannot_lift_a_lock(locked, clerk, client):
    client.force_login(clerk)
    assert client.post(reverse("person-unlock", args=[locked.pk])).status_code == 403
    assert tries(locked.username, PASSWORD).status_code == 429


def test_looking_at_the_address_lifts_nothing(locked, owner, client):
    client.force_login(owner)
    client.get(reverse("person-unlock", args=[locked.pk]))
    assert tries(locked.username, PASSWORD).status_code == 429


def test_password_is_nowhere_in_what_is_kept_of_a_wrong_try(laminator):
    tries(laminator.username, "sailcloth-secret")
    assert "sailcloth-secret" not in repr(AccessAttempt.objects.values_list()[0])


def test_name_that_nobody_has_is_answered_like_a_wrong_password(laminator):
    pages = [tries(name, "wrong").content.decode() for name in (laminator.username, "nobody")]
    assert ["do not go together" in page for page in pages] == [True, True]
