"""A minimum of resin in date: netted by time, bought in packs, and never more than is used before it dies."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopstock import ledger
from shopstock.demand import ResinNeed
from shopstock.models import Offer, OrderLine, Shop
from shopstock.ordering.actions import approve, new_order
from shopstock.to_order import order_lines
from shopstock.to_order_resin import resin_may_come
from shopstock.watch import Severity, watch_list
from tests.factories import NOON, TODAY, make_chemical, make_container, make_reinforcement, make_supplier, new_key
from tests.shopstock.demand_source import day


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14)


@pytest.fixture
def resin(planned, supplier):
    """50 kg are kept of it; nobody said how long it lives."""
    return make_chemical(
        "laminating resin", supplier=supplier, pack_g=25_000, price_per_pack=Decimal(100), minimum_g=50_000
    )


@pytest.fixture
def lives(resin):
    def for_days(days):
        resin.shelf_life_days = days
        resin.save()

    return for_days


def bought():
    return [(line.buy, line.needed_on, line.reasons) for line in order_lines(TODAY)]


def drawn(clerk, resin, mass_g, at=NOON):
    drum = make_container(by=clerk, chemical=resin, mass_g=mass_g)
    ledger.draw(container=drum, mass_g=mass_g, by=clerk, at=at, key=new_key())


def test_below_the_minimum_today_is_bought_without_a_day_and_says_why(resin, clerk):
    make_container(by=clerk, chemical=resin, mass_g=30_000)
    make_container(by=clerk, chemical=resin, mass_g=30_000, label_date=day(-1))  # dead: it does not count
    assert bought() == [("1 pack of 25.00 kg", None, ("Keep at least 50.00 kg; 30.00 kg in date now",))]
    (line,) = order_lines(TODAY)
    assert (line.order_by, line.cost) == (None, Decimal(100))


def test_one_gram_below_the_minimum_buys_and_at_it_does_not(resin, clerk):
    drum = make_container(by=clerk, chemical=resin, mass_g=50_000)
    assert bought() == []
    ledger.draw(container=drum, mass_g=1, by=clerk, at=NOON, key=new_key())
    assert [buy for buy, _, _ in bought()] == ["1 pack of 25.00 kg"]


def test_balance_after_each_job_never_falls_below_the_minimum(resin, planned, clerk):
    # 70 kg; 30 kg on day 40 leave 40 kg, 10 kg below: ordered 14 days before, and the 15 kg over serve the Deck.
    make_container(by=clerk, chemical=resin, mass_g=70_000)
    planned.needs_resin(resin, 30_000, 40)
    planned.needs_resin(resin, 15_000, 60, "Deck")
    (line,) = order_lines(TODAY)
    assert (line.buy, line.needed_on, line.order_by.day, line.reasons) == (
        "1 pack of 25.00 kg", day(40), day(26), (f"Keep at least 50.00 kg; 40.00 kg in date on {day(40)}",),
    )  # fmt: skip


def test_minimum_that_fell_before_an_order_could_come_is_late(resin, planned, clerk):
    make_container(by=clerk, chemical=resin, mass_g=70_000)
    planned.needs_resin(resin, 30_000, 5)
    (line,) = order_lines(TODAY)
    assert (line.needed_on, line.days_late) == (day(5), 9)


def test_drum_that_dies_takes_the_minimum_with_it(resin, planned, clerk):
    make_container(by=clerk, chemical=resin, mass_g=30_000, label_date=day(20))
    make_container(by=clerk, chemical=resin, mass_g=40_000, label_date=day(90))
    planned.needs_resin(resin, 5_000, 30)
    # on day 21 the drum of 30 kg is dead: 40 kg are left; the Hull takes 5 kg of them
    assert [(buy, needed_on) for buy, needed_on, _ in bought()] == [("1 pack of 25.00 kg", day(21))]


def test_what_a_job_buys_over_counts_towards_the_minimum(resin, planned, clerk):
    # 60 kg and a pack for the 5 kg that the job lacks leave 20 kg; 30 kg are kept.
    resin.minimum_g = 30_000
    resin.save()
    make_container(by=clerk, chemical=resin, mass_g=60_000)
    planned.needs_resin(resin, 65_000, 20)
    assert [(buy, reasons[0]) for buy, _, reasons in bought()] == [
        ("1 pack of 25.00 kg", "Hull 7: 5.00 kg short"),
        ("1 pack of 25.00 kg", f"Keep at least 30.00 kg; 20.00 kg in date on {day(20)}"),
    ]


def test_what_is_on_its_way_counts_and_the_watch_says_wait(resin, owner, clerk):
    make_container(by=clerk, chemical=resin, mass_g=10_000)
    order = new_order(supplier=resin.supplier, expected_on=day(3), by=owner, at=NOON, key="order")
    line = OrderLine.objects.create(order=order, chemical=resin, pack_g=25_000, packs=1, price=Decimal(1), reason="x")
    approve(order=order, by=owner, at=NOON)
    assert bought() == [
        ("1 pack of 25.00 kg", None, ("Keep at least 50.00 kg; 10.00 kg in date now, 25.00 kg on its way",))
    ]
    line.packs = 2
    line.save()
    assert bought() == []
    assert warned() == [
        (Severity.NOTE, "10.00 kg in date, 50.00 kg on its way; the minimum is 50.00 kg.", "It is ordered: wait.")
    ]


def test_cheapest_drums_and_pails_are_bought_for_the_minimum_too(resin, supplier):
    Offer.objects.create(supplier=supplier, chemical=resin, pack_g=50_000, least_packs=1, price=Decimal(150))
    assert [buy for buy, _, _ in bought()] == ["1 pack of 50.00 kg"]


def test_pack_that_nobody_knows_is_a_mass(resin):
    resin.pack_g = None
    resin.save()
    assert [buy for buy, _, _ in bought()] == ["50.00 kg; pack size not known"]


def test_database_is_asked_as_often_for_more_products_that_are_kept(resin, lives, clerk, django_assert_num_queries):
    lives(180)
    drawn(clerk, resin, 30_000)
    order_lines(TODAY), watch_list(TODAY)  # what is kept for the day is asked for once
    with CaptureQueriesContext(connection) as ordered:
        order_lines(TODAY)
    with CaptureQueriesContext(connection) as watched:
        watch_list(TODAY)
    for name in ("gelcoat", "catalyst"):
        make_chemical(name, supplier=resin.supplier, pack_g=5_000, shelf_life_days=90, minimum_g=10_000)
    with django_assert_num_queries(len(ordered)):
        assert len(order_lines(TODAY)) == 3
    with django_assert_num_queries(len(watched)):
        assert len(warned()) == 3


# Never more than is used before it dies

USED = "planned jobs, or draws at the pace so far, use {} of it in its 180 days of life"


def test_minimum_that_would_die_unused_is_not_bought_and_the_page_says_why(resin, lives, client, owner):
    lives(180)
    reason = f"A pack would die unused: {USED.format('none')}"
    ((buy, _, reasons),) = bought()
    assert (buy, reasons[1]) == (
        "nothing: it would die unused", f"{reason}. Lower the minimum, or write an order by hand",
    )  # fmt: skip
    client.force_login(owner)
    assert reason in client.get("/ordering/").content.decode()


def test_life_of_a_day_is_told_as_one(resin, lives):
    lives(1)
    ((_, _, reasons),) = bought()
    assert "use none of it in its 1 day of life. Lower" in reasons[1]


def test_minimum_that_would_die_unused_time_and_again_is_told_of_once(resin, lives, planned):
    # It would be bought for day 14 and anew on each eleventh day, until the Hull takes 1 kg.
    lives(10)
    planned.needs_resin(resin, 1_000, 60)
    assert [(buy, needed_on) for buy, needed_on, _ in bought()] == [
        ("nothing: it would die unused", None),
        ("1 pack of 25.00 kg", day(60)),
    ]


def test_no_more_of_the_minimum_is_bought_than_was_drawn_in_as_long_a_time(resin, lives, clerk):
    lives(180)
    drawn(clerk, resin, 30_000)
    assert bought() == [
        ("1 pack of 25.00 kg", None, (
            "Keep at least 50.00 kg; 0 g in date now",
            f"More would die unused: {USED.format('30.00 kg')}",
        )),
    ]  # fmt: skip
    drawn(clerk, resin, 20_000)
    assert [(buy, len(reasons)) for buy, _, reasons in bought()] == [("2 packs of 25.00 kg", 1)]


@pytest.mark.parametrize(("days", "packs"), [(55, 0), (56, 2), (60, 2), (80, 1), (160, 0)])
def test_ledger_younger_than_a_life_tells_the_pace_once_it_is_eight_weeks_old(resin, lives, clerk, days, packs):
    # 20 kg in 56 days are 64 kg in 180, in 60 days 60 kg, in 80 days 45 kg, in 160 days 22.5 kg; a pack is 25 kg.
    lives(180)
    drawn(clerk, resin, 20_000)
    assert order_lines(day(days))[0].packs == packs


def test_ledger_older_than_a_life_tells_of_a_life_alone(resin, lives, clerk):
    lives(100)
    make_container(by=clerk, chemical=resin, mass_g=1, at=NOON - timedelta(days=200), label_date=day(-1))
    drawn(clerk, resin, 49_000)
    assert order_lines(TODAY)[0].packs == 1


def test_what_was_drawn_before_a_life_ago_is_not_counted(resin, lives, clerk):
    make_chemical("a resin that lives longer", shelf_life_days=365, minimum_g=1)
    lives(30)
    drawn(clerk, resin, 60_000)

    def packs(on):
        return [line.packs for line in order_lines(on) if line.material == resin]

    assert (packs(day(30)), packs(day(31))) == ([2], [0])


def test_what_is_in_date_already_is_used_first(resin, lives, clerk):
    # 60 kg are used in a life; with 20 kg there, two packs more would be 70 kg.
    lives(180)
    drawn(clerk, resin, 60_000)
    make_container(by=clerk, chemical=resin, mass_g=20_000, label_date=day(150))
    assert [buy for buy, _, _ in bought()] == ["1 pack of 25.00 kg"]


def test_planned_jobs_within_its_life_allow_the_minimum(resin, lives, planned):
    lives(180)
    planned.needs_resin(resin, 50_000, 100)
    packs = {line.reasons[0]: line.packs for line in order_lines(TODAY)}
    assert packs == {"Keep at least 50.00 kg; 0 g in date now": 2, "Hull 7: 50.00 kg short": 2}


def test_quoted_jobs_find_what_is_left_beyond_the_minimum(resin, planned, clerk):
    make_container(by=clerk, chemical=resin, mass_g=70_000)
    planned.quoted.append(ResinNeed(resin.pk, 40_000, day(30), "Skiff 20", 70))
    assert resin_may_come(resin, TODAY).left == 20_000


def test_what_the_packs_for_the_minimum_hold_over_is_there_for_quoted_jobs(resin, planned):
    resin.minimum_g = 30_000
    resin.save()
    planned.quoted.append(ResinNeed(resin.pk, 40_000, day(30), "Skiff 20", 70))
    assert resin_may_come(resin, TODAY).left == 20_000


def test_packs_that_come_behind_a_quoted_job_leave_nothing_for_it(resin, planned, clerk):
    # Of 50 kg the Hull takes 30 kg on day 40; the two packs that lift the 20 kg left are too late for day 30.
    make_container(by=clerk, chemical=resin, mass_g=50_000)
    planned.needs_resin(resin, 30_000, 40)
    planned.quoted.append(ResinNeed(resin.pk, 40_000, day(30), "Skiff 20", 70))
    assert resin_may_come(resin, TODAY).left == 0


def test_packs_that_are_dead_before_a_quoted_job_leave_nothing_for_it(resin, lives, planned):
    # A pack for 5 kg of the Hull on day 20 has 20 kg over until day 30, and nothing is kept.
    lives(10)
    resin.minimum_g = 0
    resin.save()
    planned.needs_resin(resin, 5_000, 20)
    left = {}
    for last_on in (30, 31):
        planned.quoted[:] = [ResinNeed(resin.pk, 40_000, day(last_on), "Skiff 20", 70)]
        left[last_on] = resin_may_come(resin, TODAY).left
    assert left == {30: 20_000, 31: 0}


# The watch


def warned():
    found = [item for item in watch_list(TODAY) if item.kind == "low_stock"]
    return [(item.severity, item.cause, item.to_do) for item in found]


def test_low_stock_of_resin_is_watched_like_cloth(resin, clerk):
    drum = make_container(by=clerk, chemical=resin, mass_g=50_000)
    assert warned() == []
    ledger.draw(container=drum, mass_g=30_000, by=clerk, at=NOON, key=new_key())
    assert warned() == [(Severity.SOON, "20.00 kg in date; the minimum is 50.00 kg.", "Order 2 packs of 25.00 kg.")]
    ledger.draw(container=drum, mass_g=20_000, by=clerk, at=NOON, key=new_key())
    assert [severity for severity, _, _ in warned()] == [Severity.URGENT]


def test_watch_does_not_ask_for_what_would_die_unused(resin, lives):
    lives(180)
    assert warned() == [(
        Severity.URGENT, "0 g in date; the minimum is 50.00 kg.",
        "Lower the minimum, or write an order by hand: a pack would die unused.",
    )]  # fmt: skip


def test_fabric_and_product_of_one_number_are_two_warnings(resin):
    make_reinforcement(pk=resin.pk, minimum_mm=10_000)
    names = [item.name for item in watch_list(TODAY) if item.kind == "low_stock"]
    assert len(set(names)) == len(names) == 2


def test_pounds_are_shown_where_the_shop_counts_so(resin):
    shop = Shop.current()
    shop.units = "us"
    shop.save()
    assert warned()[0][1] == "0 oz in date; the minimum is 110.23 lb."
