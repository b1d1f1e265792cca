import pytest
from django.urls import reverse

from shopstock.models import Place, PlaceRule
from tests.factories import NOON


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


RULE = {"subject": "fabric", "beside": "resin", "severity": "warn", "reason": "drips", "source": "our foreman"}


def test_place_keeps_its_conditions_and_what_may_stand_there(page):
    values = {"name": "Catalyst", "kind": "cabinet", "kept_for": ["peroxide"], "in_daylight": "on"}
    page.post(reverse("place-add"), values)
    place = Place.objects.get()
    assert (place.may_keep, place.in_daylight, place.on_wood) == ("peroxide", True, False)
    form = page.get(reverse("place-edit", args=[place.pk])).content.decode()
    assert 'value="peroxide" id="id_kept_for_0" checked' in form
    page.post(reverse("place-edit", args=[place.pk]), values | {"kept_for": []})
    assert Place.objects.get().may_keep == ""


def test_limit_of_nothing_is_refused(page):
    values = {"name": "C", "kind": "cabinet", "flammable_limit_l": "0"}
    assert "above zero" in page.post(reverse("place-add"), values).content.decode()


def test_rule_of_the_shops_own_is_added_and_removed_beside_those_of_the_trade(page, owner):
    page.post(reverse("place-rule-add"), RULE)
    rule = PlaceRule.objects.get()
    assert (rule.made_by, rule.reason) == (owner, "drips")
    text = page.get(reverse("place-rules")).content.decode()
    assert "Fabric beside resin" in text
    assert "California Title 8" in text
    page.post(reverse("place-rule-remove", args=[rule.pk]))
    assert PlaceRule.objects.count() == 0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"beside": "fabric"}, "always stands beside its own kind"),
        ({"reason": ""}, "Fill this in"),
        ({}, "a rule for these two"),
    ],
)
def test_rule_that_makes_no_sense_is_refused(page, owner, changes, words):
    PlaceRule.objects.create(**RULE, made_by=owner, made_at=NOON)
    assert words in page.post(reverse("place-rule-add"), RULE | changes).content.decode()
    assert PlaceRule.objects.count() == 1


@pytest.mark.parametrize("role", ["clerk", "laminator", "outsider"])
def test_only_the_owner_makes_rules(client, request, owner, role):
    client.force_login(request.getfixturevalue(role))
    assert client.post(reverse("place-rule-add"), RULE).status_code == 403
    assert client.get(reverse("place-rules")).status_code == (403 if role == "outsider" else 200)
