import pytest
from django.urls import resolve, reverse

from shopstock.models import Chemical, Container, ContainerMovement
from shopstock.resins.actions import add_data_sheet
from shopstock.resins.urls import urlpatterns
from tests.factories import NOON, make_chemical, make_container
from tests.repo.demo_shop import without_a_trace

EVERYONE = {"clerk", "laminator", "owner"}
STORE = {"clerk", "owner"}
NAMES = {
    "resins": EVERYONE,
    "chemicals": EVERYONE,
    "chemical": EVERYONE,
    "container": EVERYONE,
    "container-receive": STORE,
    "chemical-add": STORE,
    "chemical-edit": STORE,
    "container-draw": EVERYONE,
    "container-opened": EVERYONE,
    "container-weigh": STORE,
    "container-dispose": STORE,
    "container-move": EVERYONE,
    "container-lose": EVERYONE,
    "container-test": STORE,
    "chemical-sheet": EVERYONE,
    "chemical-sheet-add": STORE,
    "chemical-sheet-remove": STORE,
}


def address_of(name: str, clerk) -> str:
    if name in ("resins", "chemicals", "container-receive", "chemical-add"):
        return reverse(name)
    if name in ("chemical-sheet", "chemical-sheet-remove"):
        wish = {"kind": "safety", "title": "Sheet", "file": b"%PDF-1.7", "by": clerk, "at": NOON}
        return reverse(name, args=[add_data_sheet(chemical=make_chemical(), **wish).pk])
    if name.startswith("chemical"):
        return reverse(name, args=[make_chemical().pk])
    return reverse(name, args=[make_container(by=clerk).code])


def counts() -> tuple[int, int, int]:
    return Chemical.objects.count(), Container.objects.count(), ContainerMovement.objects.count()


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
def test_page_and_post_are_refused_to_whom_the_role_does_not_allow(client, request, clerk, role):
    client.force_login(request.getfixturevalue(role))
    for name, allowed in NAMES.items():
        with without_a_trace():
            address = address_of(name, clerk)
            before = counts()
            codes = {client.get(address).status_code, client.post(address, {}).status_code}
            may_be = {200, 302, 405} if role in allowed else {403, 405}
            assert (name, codes - may_be, 403 in codes) == (name, set(), role not in allowed)
            assert counts() == before


def test_pages_send_a_visitor_to_sign_in(client, clerk):
    for name in NAMES:
        with without_a_trace():
            answer = client.post(address_of(name, clerk), {})
        assert (name, answer.headers["Location"].partition("?")[0]) == (name, reverse("sign-in"))


def test_every_address_of_the_feature_is_tested_for_roles():
    assert {pattern.name for pattern in urlpatterns} == set(NAMES)
    assert resolve("/resins/receive/").func.shop_action == "receive resin"
