"""The pages of the outlook: what fails first, which width to buy, and what the stock is worth."""

from datetime import timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Offer, OrderLine
from shopstock.ordering import actions
from shopstock.ordering.deliveries import Candidate, take_in
from tests.factories import (
    NOON,
    TODAY,
    make_chemical,
    make_container,
    make_reinforcement,
    make_roll,
    make_supplier,
    new_key,
)
from tests.jobs.factories import make_job, make_part, make_ply, simple_job
from tests.shopstock.demand_source import day


@pytest.fixture
def roving(db):
    return make_reinforcement("Roving 600", supplier=make_supplier("Northern Fabrics", lead_time_days=14))


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return lambda name, *args, **data: client.get(reverse(name, args=args), data)


@pytest.fixture
def laid_with(clerk, owner):
    """A job of a mat that is there, 1 kg of it a metre and as much resin."""
    mat = make_reinforcement("Mat 1000", form="mat", weave="none", areal_weight_gsm=Decimal(1000))
    make_roll(by=clerk, reinforcement=mat, length_mm=100_000)

    def plan(resin, mass_g: int, on, name: str) -> None:
        part = make_part(make_job(by=owner, name=name, resin=resin, waste_percent=0, cut_on=on))
        make_ply(part, mat, length_mm=mass_g, width_mm=1_000, fibre_mass_fraction=Decimal("0.5"))

    return plan


def text(response) -> str:
    return " ".join(unescape(response.content.decode()).split())


# What fails first


def test_list_names_what_fails_the_soonest_first_with_its_job_and_the_last_day_to_order(page, roving, laid_with, owner):
    simple_job(by=owner, reinforcement=make_reinforcement("Mat 450"), name="Deck", cut_on=day(30))
    simple_job(by=owner, reinforcement=roving, name="Hull 7", cut_on=day(10))
    resin = make_chemical("Resin", supplier=make_supplier("Bay Resins", lead_time_days=5))
    laid_with(resin, 9_000, day(20), "Tank")
    make_reinforcement("Twill 280")
    shown = page("outlook")
    assert [(str(item), row.on, row.jobs) for item, _, row in shown.context["failing"]] == [
        ("Roving 600", day(10), ("Hull 7",)), ("Resin", day(20), ("Tank",)), ("Mat 450", day(30), ("Deck",)),
    ]  # fmt: skip
    words = text(shown)
    assert "4 days late</span> order at once" in words
    assert f"order by {day(15)}" in words
    assert "Twill 280</a>" in words.split("Everything else")[1]


def test_everything_else_is_listed_with_what_is_free_or_in_date(page, roving, clerk):
    resin = make_chemical("Resin")
    make_container(by=clerk, chemical=resin, mass_g=20_000)
    make_container(by=clerk, chemical=resin, mass_g=5_000, label_date=day(-1))
    make_roll(by=clerk, reinforcement=roving, length_mm=12_000)
    make_chemical("Gelcoat")
    words = text(page("outlook"))
    for part in ("20.00 kg in date", "none in date", "12.00 m free"):
        assert part in words


def test_list_with_nothing_failing_says_so(page):
    assert "Nothing runs out." in text(page("outlook"))


def test_page_of_a_fabric_says_the_day_and_the_job_in_words_in_the_picture_and_in_the_table(page, roving, owner):
    simple_job(by=owner, reinforcement=roving, name="Hull 7", cut_on=day(21), length_mm=30_000)
    words = text(page("cloth-outlook", roving.pk))
    assert f'Fails on <span class="unbroken">{day(21)}</span></strong> and stops Hull 7.' in words
    assert "order by 09 Mar</text>" in words
    assert ">short for Hull 7</text>" in words
    assert f"<title>{day(21)}: Hull 7 is short of 30.00 m</title>" in words
    assert '<span class="tag bad">short</span> Hull 7 is short of 30.00 m' in words


def test_page_of_a_resin_counts_what_is_in_date_on_the_day_and_says_what_dies_unused(page, laid_with, clerk):
    resin = make_chemical("Resin")
    make_container(by=clerk, chemical=resin, mass_g=20_000, label_date=day(9))
    make_container(by=clerk, chemical=resin, mass_g=7_000, label_date=day(-1))
    laid_with(resin, 12_000, day(5), "Deck")
    laid_with(resin, 6_000, day(10), "Hull 7")
    shown = page("resin-outlook", resin.pk)
    points = [(point.on, point.left, point.short) for point in shown.context["found"].found.points]
    assert points[:3] == [(TODAY, 20_000, 0), (day(5), 8_000, 0), (day(10), 0, 6_000)]
    assert "ends with 8.00 kg unused" in text(shown)
    assert f'Fails on <span class="unbroken">{day(10)}</span></strong> and stops Hull 7.' in text(shown)


def test_page_of_a_resin_says_the_first_day_below_the_minimum_and_draws_its_line(page, laid_with, clerk):
    resin = make_chemical("Resin", minimum_g=15_000)
    make_container(by=clerk, chemical=resin, mass_g=20_000)
    laid_with(resin, 5_000, day(5), "Deck")
    laid_with(resin, 6_000, day(10), "Hull 7")
    words = text(page("resin-outlook", resin.pk))
    assert f'Below the minimum on <span class="unbroken">{day(10)}</span></strong>, with 9.00 kg left.' in words
    assert f"never short, below the minimum of 15.00 kg from {day(10)} on.</title>" in words
    assert (words.count(">keep at least</text>"), words.count('<line class="minimum"')) == (2, 2)
    assert '9.00 kg <span class="tag wraps">below the minimum</span>' in words
    assert f'href="{reverse("ordering")}">To order</a>' in words


def test_page_of_a_resin_without_a_minimum_does_not_speak_of_one(page, clerk):
    resin = make_chemical("Resin")
    make_container(by=clerk, chemical=resin, mass_g=20_000)
    assert "minimum" not in text(page("resin-outlook", resin.pk))


@pytest.mark.parametrize(("role", "statuses"), [("owner", [200] * 4), ("laminator", [200, 200, 403, 403])])
def test_everybody_sees_what_runs_out_and_only_the_owner_what_it_costs(client, request, roving, role, statuses):
    client.force_login(request.getfixturevalue(role))
    pages = (("outlook",), ("cloth-outlook", roving.pk), ("widths-to-buy", roving.pk), ("stock-value",))
    assert [client.get(reverse(name, args=args)).status_code for name, *args in pages] == statuses


def test_page_asks_the_database_the_same_number_of_times_for_more_rolls(
    page, roving, clerk, owner, django_assert_num_queries
):
    simple_job(by=owner, reinforcement=roving, name="Hull 7")
    page("cloth-outlook", roving.pk)
    make_roll(by=clerk, reinforcement=roving)  # as all below: what jobs need is worked out anew
    with CaptureQueriesContext(connection) as few:
        page("cloth-outlook", roving.pk)
    for _ in range(3):
        make_roll(by=clerk, reinforcement=roving)
    with django_assert_num_queries(len(few)):
        page("cloth-outlook", roving.pk)


# Which width to buy


def offer(supplier, roving, price, *, width_mm, least=1):
    Offer.objects.create(
        supplier=supplier, reinforcement=roving, width_mm=width_mm, length_mm=50_000, least_packs=least,
        price=Decimal(price),
    )  # fmt: skip


def sizes(shown):
    return [(row.size.supplier, row.size.width_mm, row.cost, row.size.currency) for row in shown.context["tried"]]


def test_every_size_on_offer_is_tried_at_the_price_for_so_many(page, roving, owner):
    """Pieces of 10 m, 490 mm wide, side by side: 3 rolls of 1.00 and 1.25 m, 2 of 1.52 m, each 50 m long."""
    abroad = make_supplier("Bay Cloth", currency="EUR")
    offer(roving.supplier, roving, "150", width_mm=1520)
    offer(roving.supplier, roving, "130", width_mm=1520, least=2)
    offer(abroad, roving, "90", width_mm=1000)
    simple_job(by=owner, reinforcement=roving, length_mm=10_000, width_mm=490, count=22, may_turn=False)
    shown = page("widths-to-buy", roving.pk)
    assert sizes(shown) == [
        ("Bay Cloth", 1000, Decimal(270), "EUR"),
        ("Northern Fabrics", 1250, Decimal(360), "EUR"),
        ("Northern Fabrics", 1520, Decimal(260), "EUR"),
    ]
    assert shown.context["cheapest"].size.width_mm == 1520
    assert shown.context["least_waste"].size.width_mm == 1000
    assert "1520 mm × 50.00 m <span" in text(shown)


def test_prices_in_two_currencies_are_not_compared_and_the_page_says_so(page, roving, owner):
    offer(make_supplier("Far Cloth", currency="USD"), roving, "1", width_mm=1000)
    simple_job(by=owner, reinforcement=roving)
    shown = page("widths-to-buy", roving.pk)
    assert shown.context["cheapest"] is None
    assert "Prices are in different currencies." in text(shown)
    assert "1.00 USD" in text(shown)


def test_width_asked_for_is_tried_beside_them(page, roving, owner):
    simple_job(by=owner, reinforcement=roving)
    shown = page("widths-to-buy", roving.pk, width="1.5 m", length="", price="99")
    assert sizes(shown)[1] == ("as asked", 1500, Decimal(99), "EUR")


@pytest.mark.parametrize("width", ["", "0 mm", "-5 mm", "11 m", "wide"])
def test_width_that_is_none_is_refused_and_the_offers_still_shown(page, roving, owner, width):
    simple_job(by=owner, reinforcement=roving)
    shown = page("widths-to-buy", roving.pk, width=width, length="", price="")
    assert list(shown.context["form"].errors) == ["width"]
    assert len(sizes(shown)) == 1


# What the stock is worth


@pytest.fixture
def delivered(roving, owner):
    """Two rolls of 50 m at 120.00 with 10.00 freight and 7 % duty between them: 133.75 each on the rack."""
    order = actions.new_order(supplier=roving.supplier, expected_on=day(1), by=owner, at=NOON, key="order")
    OrderLine.objects.create(
        order=order, reinforcement=roving, width_mm=1250, length_mm=50_000, packs=2, price=Decimal(120), reason="Hull"
    )
    order = actions.approve(order=order, by=owner, at=NOON)
    rolls = [make_roll(by=owner, reinforcement=roving) for _ in range(2)]
    found = [(Candidate(order.lines.get(), roll, ()), Decimal(120)) for roll in rolls]
    take_in(
        order=order, found=found, received_on=TODAY, paper="", by=owner, at=NOON, key="came",
        freight=Decimal(10), duty_percent=Decimal(7), handling=Decimal(0),
    )  # fmt: skip
    return rolls


def test_stock_is_worth_its_landed_cost_in_proportion_to_what_is_left(page, delivered, clerk):
    assert page("stock-value").context["totals"] == {"EUR": Decimal("267.50")}
    ledger.record_cut(roll=delivered[0], length_mm=12_500, by=clerk, at=NOON, key=new_key())
    (row,) = page("stock-value").context["rows"]
    # a quarter of 133.75 went with the cut, and the strip's offcut is worth nothing
    assert (row.amount, row.value) == (87_500, Decimal("100.31") + Decimal("133.75"))
    ledger.record_offcut(parent=delivered[0], width_mm=400, length_mm=12_500, by=clerk, at=NOON, key=new_key())
    shown = page("stock-value").context
    assert (shown["totals"], shown["without"]) == ({"EUR": Decimal("234.06")}, 0)


def test_value_of_an_earlier_day_is_what_lay_there_then(client, page, delivered, clerk, owner, monkeypatch):
    later = NOON + timedelta(days=3)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    client.force_login(owner)
    ledger.record_cut(roll=delivered[0], length_mm=50_000, by=clerk, at=later, key=new_key())
    values = {number: page("stock-value", on=str(day(number))).context["totals"] for number in (-1, 0, 2, 3)}
    assert values == {
        -1: {}, 0: {"EUR": Decimal("267.50")}, 2: {"EUR": Decimal("267.50")}, 3: {"EUR": Decimal("133.75")},
    }  # fmt: skip
    assert f"Nothing was in the store at the end of {day(-1)}." in text(page("stock-value", on=str(day(-1))))


def test_what_has_no_price_counts_as_nothing_and_is_named(page, roving, clerk):
    make_roll(by=clerk, reinforcement=roving)
    shown = page("stock-value")
    assert (shown.context["totals"], shown.context["without"]) == ({"EUR": Decimal(0)}, 1)
    assert "1 without a price." in text(shown)


def test_resin_of_no_order_counts_at_its_catalogue_price_in_its_suppliers_currency(page, clerk):
    far = make_supplier("Far Resins", currency="USD")
    resin = make_chemical(supplier=far, pack_g=25_000, price_per_pack=Decimal(100))
    drum = make_container(by=clerk, chemical=resin, mass_g=25_000)
    make_roll(by=clerk, price=Decimal(80))
    ledger.draw(container=drum, mass_g=10_000, by=clerk, at=NOON, key=new_key())
    assert page("stock-value").context["totals"] == {"EUR": Decimal(80), "USD": Decimal(60)}


@pytest.mark.parametrize("on", ["2026-03-03", "9999-12-31", "0000-01-01", "yesterday"])
def test_day_to_come_and_no_day_are_refused_in_words(page, on):
    shown = page("stock-value", on=on)
    assert shown.context["form"].errors["on"]
    assert shown.context["day"] == TODAY


def test_first_day_of_the_calendar_is_answered(page, delivered):
    assert page("stock-value", on="0001-01-01").context["totals"] == {}
