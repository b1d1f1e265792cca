import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopstock import ledger
from tests.factories import NOON, make_chemical, make_container, make_place, make_reinforcement, make_roll
from tests.shopstock.demand_source import day


@pytest.fixture
def as_owner(client, owner, planned):
    client.force_login(owner)
    return client


@pytest.fixture
def as_laminator(client, laminator, planned):
    client.force_login(laminator)
    return client


def promise(roll, length_mm, by, purpose="Hull 7"):
    ledger.set_aside(promises=[ledger.Promise(roll, length_mm, purpose)], by=by, at=NOON)


def text(response) -> str:
    return response.content.decode()


def kinds(response) -> list[str]:
    return [group.kind for group in response.context["watched"]]


def trouble(by):
    """One of each warning but two, and two things to buy."""
    make_container(by=by, chemical=make_chemical("old resin"), label_date=day(-2))
    make_container(by=by, chemical=make_chemical("ageing resin"), label_date=day(9))
    make_container(by=by, chemical=make_chemical("idle resin"), label_date=day(70))
    make_roll(by=by, lying="folded", length_mm=30_000)
    make_reinforcement("cloth 200", minimum_mm=20_000)


def test_empty_day_is_said_in_words(as_owner):
    page = text(as_owner.get("/"))
    assert "Nothing is set aside to be cut." in page
    assert "Nothing needs attention" in page
    assert "Nothing to order" in text(as_owner.get("/?part=orders"))


def test_cuts_are_grouped_by_purpose_with_place_and_link(as_laminator, clerk):
    cloth = make_reinforcement("woven roving 600")
    first = make_roll(by=clerk, reinforcement=cloth, place=make_place("Rack A1"))
    second = make_roll(by=clerk, reinforcement=cloth)
    for roll, length_mm, purpose in ((first, 3_000, "Hull 7"), (second, 2_000, "Deck 2"), (first, 1_500, "Hull 7")):
        promise(roll, length_mm, clerk, purpose)
    response = as_laminator.get("/")
    works = response.context["cuts"].items
    assert [(work.purpose, work.cuts, work.length_mm) for work in works] == [("Hull 7", 2, 4_500), ("Deck 2", 1, 2_000)]
    assert f'<a href="/rolls/{first.code}/"><span class="code">{first.code}</span> Rack A1</a>' in text(response)
    assert "2 cuts, 4.50 m; first 3.00 m" in text(response)
    assert "no place noted" in text(response)


def test_cut_made_is_no_longer_due(as_laminator, clerk):
    roll = make_roll(by=clerk)
    promise(roll, 3_000, clerk)
    ledger.record_cut(roll=roll, length_mm=3_010, by=clerk, at=NOON, key="k", set_aside=roll.set_asides.get())
    assert as_laminator.get("/").context["cuts"].items == []


@pytest.mark.parametrize(
    ("role", "seen"),
    [
        ("owner", ["resin_past", "folded", "low_stock", "resin_near", "resin_unused"]),
        ("clerk", ["resin_past", "folded", "low_stock", "resin_near", "resin_unused"]),
        ("laminator", ["resin_past", "folded", "resin_near"]),
    ],
)
def test_warnings_are_those_of_the_role_most_urgent_first(client, request, planned, clerk, role, seen):
    trouble(clerk)
    client.force_login(request.getfixturevalue(role))
    assert kinds(client.get("/")) == seen


def test_warning_shows_cause_what_to_do_and_link(as_owner, clerk):
    drum = make_container(by=clerk, chemical=make_chemical("ageing resin"), label_date=day(9))
    page = text(as_owner.get("/"))
    assert f'<a href="/resins/{drum.code}/">ageing resin {drum.code}, 20.00 kg</a>' in page
    assert "Ends on 2026-03-11, in 9 days." in page
    assert "<strong>Use 20.00 kg by 2026-03-11 or lose it.</strong>" in page


def test_group_shows_three_and_its_own_page_all(as_owner, clerk):
    for number in range(7):
        make_container(by=clerk, label_date=day(number))
    (group,) = as_owner.get("/").context["watched"]
    assert (group.count, len(group.shown), group.has_more) == (7, 3, True)
    response = as_owner.get("/?all=resin_near")
    (group,) = response.context["watched"]
    assert (len(group.shown), group.has_more) == (7, False)
    assert (response.context["cuts"], response.context["orders"]) == (None, None)


def test_all_of_a_kind_that_does_not_exist_is_not_found(as_owner):
    assert as_owner.get("/?all=everything").status_code == 404


def test_all_of_a_kind_that_is_not_for_the_role_shows_nothing_of_it(as_laminator, clerk):
    trouble(clerk)
    assert as_laminator.get("/?all=low_stock").context["watched"] == []
    assert as_laminator.get("/?all=orders").context["orders"] is None
    assert as_laminator.get("/?part=orders").context["orders"] is None


@pytest.mark.parametrize(("role", "sees"), [("owner", True), ("clerk", False), ("laminator", False)])
def test_orders_are_for_the_owner(client, request, planned, role, sees):
    make_reinforcement("cloth 200", minimum_mm=20_000)
    client.force_login(request.getfixturevalue(role))
    assert ("?part=orders" in text(client.get("/"))) is sees
    for address in ("/?part=orders", "/?all=orders"):
        assert ("cloth 200: 1 roll of 50.00 m" in text(client.get(address))) is sees


def test_order_says_the_last_day_or_how_late_it_is(as_owner, planned):
    late, soon = make_reinforcement("late cloth", lead_time_days=14), make_reinforcement("cloth", lead_time_days=14)
    planned.short_of(late, needed_on=day(10))
    planned.short_of(soon, needed_on=day(20))
    page = text(as_owner.get("/?part=orders"))
    assert '<span class="tag bad">4 days late</span> should have been ordered by 2026-02-26' in page
    assert "<strong>Order by 2026-03-08</strong>" in page


def test_person_without_a_role_is_refused(client, outsider):
    client.force_login(outsider)
    assert client.get("/").status_code == 403


def test_visitor_is_sent_to_sign_in(client, db):
    assert client.get("/").headers["Location"] == "/sign-in/?next=/"


@pytest.mark.parametrize("address", ["/", "/?part=orders"])
def test_page_asks_the_database_the_same_number_of_times_for_more_rows(
    address, as_owner, clerk, django_assert_num_queries
):
    def add():
        trouble_row = make_roll(by=clerk, lying="folded", place=make_place(), length_mm=30_000)
        promise(trouble_row, 1_000, clerk, f"Hull {trouble_row.pk}")
        make_container(by=clerk, label_date=day(3), place=make_place())
        make_reinforcement(minimum_mm=5_000)

    add()
    as_owner.get(address)
    with CaptureQueriesContext(connection) as one:
        as_owner.get(address)
    add()
    add()
    with django_assert_num_queries(len(one)):
        as_owner.get(address)
