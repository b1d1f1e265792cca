import io

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command
from django.forms import model_to_dict
from django.test import Client
from django.urls import reverse

from shopstock.models import Shop
from shopstock.roles import role_of
from tests.factories import PASSWORD, make_person

User = get_user_model()
NEW = {"name": "nils", "full_name": "Nils", "role": "clerk", "password": "bias-tape-45"}


@pytest.fixture
def as_owner(client, owner):
    client.force_login(owner)
    return client


def test_sign_in_leads_to_today(client, clerk):
    answer = client.post(reverse("sign-in"), {"username": "carla", "password": PASSWORD})
    assert (answer.status_code, answer.url) == (302, "/")


def test_sign_in_with_a_wrong_password_says_what_to_do(client, clerk):
    page = client.post(reverse("sign-in"), {"username": "carla", "password": "nonsense"}).content.decode()
    assert "That name and password do not go together" in page
    assert 'value="carla"' in page


def test_page_without_sign_in_leads_there_and_back(client, db):
    answer = client.get(reverse("people"))
    assert (answer.status_code, answer.url) == (302, "/sign-in/?next=/people/")


def signs_in(client, name: str, password: str) -> bool:
    return client.post(reverse("sign-in"), {"username": name, "password": password}).status_code == 302


def test_owner_adds_a_person_who_can_sign_in(as_owner):
    as_owner.post(reverse("person-add"), NEW)
    assert role_of(User.objects.get(username="nils")) == "clerk"
    assert signs_in(Client(), "nils", NEW["password"])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": "OLGA"}, "There is already a person called OLGA"),
        ({"name": "two words"}, "Enter a valid"),
        ({"password": "short"}, "too short"),
        ({"role": "admiral"}, "“admiral” is not in the list"),
    ],
)
def test_person_with_a_wrong_field_is_not_made(as_owner, change, words):
    page = as_owner.post(reverse("person-add"), NEW | change).content.decode()
    assert words in page
    assert User.objects.count() == 1


def test_last_owner_cannot_be_closed_or_demoted(as_owner, owner):
    fields = {"full_name": "", "role": "clerk", "is_active": "on", "password": ""}
    page = as_owner.post(reverse("person", args=[owner.pk]), fields).content.decode()
    assert "This is the only owner who can sign in" in page
    assert role_of(User.objects.get(pk=owner.pk)) == "owner"


def test_closed_sign_in_keeps_the_persons_history(as_owner, clerk):
    fields = {"full_name": "Carla", "role": "clerk", "password": ""}
    as_owner.post(reverse("person", args=[clerk.pk]), fields)
    assert User.objects.filter(pk=clerk.pk, is_active=False).exists()
    assert not signs_in(Client(), "carla", PASSWORD)


@pytest.mark.parametrize("role", ["clerk", "laminator", None])
@pytest.mark.parametrize("name", ["people", "person-add", "shop-settings"])
def test_owners_pages_refuse_others_with_a_reason(client, db, role, name):
    client.force_login(make_person("someone", role))
    for answer in (client.get(reverse(name)), client.post(reverse(name), NEW)):
        assert answer.status_code == 403
        assert "Only the owner may" in answer.content.decode()
    assert User.objects.count() == 1


def test_settings_keep_the_address_for_the_labels(as_owner):
    fields = model_to_dict(Shop.current()) | {
        "units": "us",
        "currency": "usd",
        "address": "http://store.lan:8000/",
    }
    as_owner.post(reverse("shop-settings"), fields)
    shop = Shop.current()
    assert (shop.address, shop.currency, shop.units) == ("http://store.lan:8000", "USD", "us")


@pytest.mark.parametrize("address", ["store.lan", "ftp://store.lan", "http://store.lan/path", "javascript:alert(1)"])
def test_settings_refuse_an_address_no_phone_can_open(as_owner, address):
    page = as_owner.post(reverse("shop-settings"), {"address": address}).content.decode()
    assert "Type it like http://store.lan:8000" in page


def test_wrong_address_gives_a_helpful_page(as_owner):
    answer = as_owner.get("/rols/")
    assert answer.status_code == 404
    assert "Nothing at this address" in answer.content.decode()


def test_form_without_its_token_loses_nothing_and_says_what_to_do(client, owner):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(owner)
    answer = strict.post(reverse("person-add"), NEW)
    assert answer.status_code == 403
    assert "Nothing was saved" in answer.content.decode()


def test_make_owner_makes_the_first_owner(db, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("rolled-not-folded\n"))
    call_command("make_owner", "frida", "--password-stdin", stdout=io.StringIO())
    assert role_of(User.objects.get(username="frida")) == "owner"


def test_make_owner_refuses_a_weak_password(db, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("12345\n"))
    with pytest.raises(CommandError, match="too short"):
        call_command("make_owner", "frida", "--password-stdin")
    assert not User.objects.exists()
