"""Another job before it is promised: short, cost, earliest day; nothing is written before it is confirmed."""

import datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.models import CuttingPlan, Job, Part, Ply
from jobs.queries import with_lay_up
from jobs.what_if.answer import answer
from shopstock.models import Offer, Shop
from tests.factories import (
    TODAY,
    make_chemical,
    make_container,
    make_reinforcement,
    make_roll,
    make_supplier,
    make_sure,
)
from tests.jobs.factories import make_job, make_part, make_ply, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14, freight=Decimal("40"))


@pytest.fixture
def kind(supplier):
    return make_reinforcement("roving 600", supplier=supplier)


@pytest.fixture
def skiff(owner, kind) -> Job:
    """Cut already; one takes 10 m of the roving, in one piece."""
    job = simple_job(by=owner, reinforcement=kind, name="Skiff 1", length_mm=10_000, width_mm=1_200, may_turn=False)
    Job.objects.update(state=Job.State.DONE)
    return job


def asked(job: Job, times: int, cut_on: datetime.date):
    like = with_lay_up(Job.objects.all()).get(pk=job.pk)
    return answer(like, times=times, cut_on=cut_on, on=TODAY, shop=Shop.current())


def rolls(owner, kind, *lengths_mm: int) -> None:
    for length_mm in lengths_mm:
        make_sure(make_roll(by=owner, reinforcement=kind, length_mm=length_mm))


def everything() -> list[int]:
    return [model.objects.count() for model in (Job, Part, Ply, CuttingPlan)]


def test_job_that_the_racks_hold_can_be_cut_today_and_costs_nothing_more(owner, kind, skiff):
    rolls(owner, kind, 25_000)
    found = asked(skiff, 2, day(3))
    assert [(row.material, row.takes, row.short) for row in found.rows] == [(kind, 20_000, 0)]
    assert (found.earliest_on, found.can_be_kept, found.more) == (TODAY, True, [])


def test_what_is_short_is_bought_in_whole_rolls_with_freight(owner, kind, skiff):
    rolls(owner, kind, 25_000)
    found = asked(skiff, 8, day(20))
    assert [(row.takes, row.short) for row in found.rows] == [(80_000, 60_000)]
    (more,) = found.more
    # 20 m come off the rack, 60 m off two rolls of 50 m at 120.00, with 40.00 freight
    assert ([item.words for item in more.lines], more.cost, more.proved) == (
        ["2 rolls of 50.00 m"], Decimal("280.00"), True,
    )  # fmt: skip


def test_earliest_day_is_when_what_is_ordered_today_can_be_here(owner, kind, skiff):
    found = asked(skiff, 1, day(5))
    assert (found.can_be_kept, found.late, found.earliest_on) == (False, ["roving 600"], day(14))


def test_ends_too_short_for_the_piece_do_not_count(owner, kind, skiff):
    rolls(owner, kind, 9_000, 9_000)
    assert asked(skiff, 1, day(5)).earliest_on == day(14)


def test_planned_work_of_earlier_days_comes_first_and_later_jobs_are_named(owner, kind, skiff):
    rolls(owner, kind, 20_500)
    ply = {"length_mm": 10_000, "width_mm": 1_200, "may_turn": False}
    simple_job(by=owner, reinforcement=kind, name="Early", cut_on=day(2), **ply)
    simple_job(by=owner, reinforcement=kind, name="Late", cut_on=day(9), **ply)
    found = asked(skiff, 1, day(5))
    assert ([row.short for row in found.rows], found.stopped) == ([0], ["Late"])
    # cut today it would take Late's cloth, which could not be bought by day 9; on day 14 new cloth is here
    assert (found.can_be_kept, found.earliest_on) == (False, day(14))


def test_cost_is_what_comes_on_top_of_todays_list_and_shares_its_freight(owner, kind, skiff):
    simple_job(
        by=owner, reinforcement=kind, name="Firm", cut_on=day(30), length_mm=45_000, width_mm=1_200, may_turn=False
    )
    (more,) = asked(skiff, 1, day(30)).more
    assert ([item.packs for item in more.lines], more.cost) == ([1], Decimal("120.00"))


def test_resin_and_gelcoat_are_asked_for_too(owner, kind, supplier):
    resin = make_chemical("resin", supplier=supplier, pack_g=25_000, price_per_pack=Decimal("90"), shelf_life_days=180)
    gelcoat = make_chemical("gel", kind="gelcoat", density_liquid=Decimal("1.2"), pack_g=10_000)
    job = make_job(by=owner, name="Tank", resin=resin, gelcoat=gelcoat, gelcoat_area_m2=10, waste_percent=Decimal(0))
    mat = make_reinforcement("mat", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")
    make_ply(make_part(job), mat, length_mm=10_000, width_mm=1_200, direction="any")
    Job.objects.update(state=Job.State.DONE)
    make_container(by=owner, chemical=resin, mass_g=20_000)
    found = asked(job, 2, day(20))
    # 12 m² of 450 g/m² at 0.30 hold 12.6 kg of resin; 10 m² at 0.5 mm and 1.2 kg/L 6 kg of gelcoat; both twice
    resins = [(str(row.material), row.takes, row.short) for row in found.rows if not row.is_cloth]
    assert resins == [("resin", 25_200, 5_200), ("gel", 12_000, 12_000)]
    costs = {str(more.supplier): more.cost for more in found.more}
    assert (costs["Northern Fabrics"], costs["None"]) == (Decimal("130.00"), None)
    assert (found.earliest_on, "gel is short, and nobody said how long it takes to come" in found.no_day) == (
        None,
        True,
    )


def test_piece_that_no_new_roll_gives_names_no_day(owner, kind, skiff):
    Ply.objects.update(length_mm=60_000)
    found = asked(skiff, 1, day(30))
    assert "1 piece finds no place on a new roll either" in found.rows[0].problem
    assert (found.earliest_on, found.no_day) == (None, "New rolls of roving 600 as sold do not give every piece")


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def question(job: Job, **changed) -> dict:
    return {"like": job.pk, "times": "3", "by": "2026-W20"} | changed


def test_asking_changes_nothing_and_shows_the_answer(page, skiff, owner, kind):
    before = everything()
    answered = page.get(reverse("what-if"), question(skiff))
    assert (answered.context["answer"].job.cut_on, everything()) == (datetime.date(2026, 5, 11), before)
    assert "2026-05-11 can be kept." in answered.content.decode()


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"times": "0"}, "times", "One at least."),
        ({"times": "-3"}, "times", "One at least."),
        ({"times": "900"}, "times", "50 at most"),
        ({"by": "2026-03-01"}, "by", "has gone by"),
        ({"by": "2099-01-01"}, "by", "is years away"),
        ({"by": "when it suits"}, "by", "neither a day nor a week"),
        ({"like": "999999"}, "like", "Choose a job that has plies."),
    ],
)
def test_question_that_cannot_be_answered_says_so_at_the_field(page, skiff, changed, field, says):
    form = page.get(reverse("what-if"), question(skiff, **changed)).context["form"]
    assert list(form.errors) == [field]
    assert says in form.errors[field][0]


def test_more_pieces_than_one_plan_takes_are_refused_beside_how_many(page, skiff):
    Ply.objects.update(count=60)
    shown = page.get(reverse("what-if"), {"like": skiff.pk, "times": "40", "by": "2026-05-04"})
    assert shown.context["form"].errors == {
        "times": ["That makes 2,400 pieces of roving 600, and one cutting plan takes 2,000. Ask for fewer."]
    }


def test_confirmed_as_a_quote_it_is_a_job_with_its_own_lay_up(page, skiff, owner):
    Job.objects.update(gelcoat_area_m2=4)
    wish = question(skiff, name="Skiffs for the club", kind="quoted", chance="40")
    for _ in range(2):  # a double tap is one job
        page.post(reverse("what-if-take"), wish)
    made = Job.objects.exclude(pk=skiff.pk).get()
    assert (made.name, made.cut_on, made.chance_percent, made.state, made.made_by, made.gelcoat_area_m2) == (
        "Skiffs for the club", datetime.date(2026, 5, 11), 40, "draft", owner, 12,
    )  # fmt: skip
    (part,) = made.parts.all()
    (ply,) = part.plies.all()
    assert (part.name, part.count, ply.length_mm, ply.width_mm, ply.may_turn) == ("Hull", 3, 10_000, 1_200, False)


@pytest.mark.parametrize("other", [{"times": "4"}, {"like": "deck"}])
def test_another_job_of_the_same_name_at_once_is_not_taken_for_a_second_tap(page, skiff, owner, kind, other):
    deck = simple_job(by=owner, reinforcement=kind, name="Deck", length_mm=5_000, width_mm=1_000)
    other = {"like": deck.pk} if "like" in other else other
    wish = question(skiff, name="For the club", kind="quoted", chance="40")
    page.post(reverse("what-if-take"), wish)
    shown = page.post(reverse("what-if-take"), wish | other)
    assert shown.context["take_form"].errors == {
        "name": ["There is already a job called For the club. Choose another name."]
    }
    assert Job.objects.filter(name="For the club").count() == 1


def test_confirmed_as_planned_it_counts_in_full(page, skiff):
    page.post(reverse("what-if-take"), question(skiff, name="Skiff 2", kind="planned", chance=""))
    assert not Job.objects.get(name="Skiff 2").is_quoted


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": "Skiff 1"}, "name"),
        ({"name": ""}, "name"),
        ({"chance": ""}, "chance"),
        ({"chance": "100"}, "chance"),
        ({"kind": "maybe"}, "kind"),
    ],
)
def test_confirmation_with_something_wrong_writes_nothing_and_keeps_what_was_typed(page, skiff, changed, field):
    wish = {"name": "Skiff 2", "kind": "quoted", "chance": "40"} | changed
    shown = page.post(reverse("what-if-take"), question(skiff, **wish)).context
    assert list(shown["take_form"].errors) == [field]
    assert (Job.objects.count(), shown["take_form"]["name"].value()) == (1, wish["name"])
    assert shown["answer"] is not None


@pytest.mark.parametrize("role", ["clerk", "laminator"])
def test_only_the_owner_asks_and_takes(client, role, request, skiff):
    client.force_login(request.getfixturevalue(role))
    statuses = [client.get(reverse("what-if")).status_code, client.post(reverse("what-if-take"), {}).status_code]
    assert statuses == [403, 403]


def test_money_of_each_supplier_stays_in_its_own_currency(owner, kind, skiff):
    overseas = make_supplier("Overseas", lead_time_days=30, currency="USD")
    carbon = make_reinforcement("carbon 200", supplier=overseas, price_per_roll=Decimal("900"))
    make_ply(skiff.parts.get(), carbon, length_mm=4_000, width_mm=1_000)
    found = asked(skiff, 1, day(60))
    assert sorted((more.currency, more.cost) for more in found.more) == [
        ("EUR", Decimal("160.00")), ("USD", Decimal("900.00")),
    ]  # fmt: skip
    assert found.earliest_on == day(30)


def test_drum_that_is_bought_instead_of_pails_is_told_as_such(owner, supplier):
    resin = make_chemical("resin", supplier=supplier, pack_g=25_000, price_per_pack=Decimal("90"), shelf_life_days=180)
    Offer.objects.create(supplier=supplier, chemical=resin, pack_g=75_000, price=Decimal("200"))
    mat = make_reinforcement("mat", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")
    tank = make_job(by=owner, name="Tank", resin=resin, waste_percent=Decimal(0), cut_on=day(20))
    make_ply(make_part(tank, count=2), mat, length_mm=10_000, width_mm=1_200, direction="any")
    make_sure(make_roll(by=owner, reinforcement=mat, length_mm=200_000))
    # 25.2 kg for the two that are planned are two pails; with as many more, 50.4 kg, a drum is cheaper than three
    (more,) = asked(tank, 1, day(20)).more
    assert ([item.words for item in more.lines], more.cost) == (
        ["1 pack of 75.00 kg", "2 packs of 25.00 kg fewer"], Decimal("20.00"),
    )  # fmt: skip


@pytest.fixture
def tank(owner, supplier) -> Job:
    """Made already; it takes 12.6 kg of a resin of which 25 kg are kept and none is there."""
    resin = make_chemical("resin, slow", supplier=supplier, pack_g=25_000, minimum_g=25_000)
    mat = make_reinforcement("mat, cut", form="mat", weave="none", areal_weight_gsm=Decimal(450), supplier=supplier)
    job = make_job(by=owner, name="Tank", resin=resin, waste_percent=Decimal(0))
    make_ply(make_part(job), mat, length_mm=10_000, width_mm=1_200, direction="any")
    Job.objects.update(state=Job.State.DONE)
    return job


@pytest.mark.parametrize("number", [5, 30])
def test_what_more_to_buy_is_ordered_by_the_day_of_the_job_not_of_the_minimum_that_was_to_be_bought_anyway(
    tank, number
):
    (more,) = asked(tank, 2, day(number)).more
    assert [(item.line.item, item.line.order_by.day) for item in more.lines] == [
        ("mat, cut", day(number - 14)),
        ("resin, slow", day(number - 14)),
    ]


def test_roll_of_a_later_job_that_gives_enough_for_both_is_to_be_ordered_sooner(page, owner, kind, skiff):
    simple_job(by=owner, reinforcement=kind, cut_on=day(60), length_mm=10_000, width_mm=1_200, may_turn=False)
    (more,) = asked(skiff, 1, day(30)).more
    assert [(item.words, item.line.order_by.day) for item in more.lines] == [
        ("no more than without it, but sooner", day(16))
    ]
    assert asked(skiff, 1, day(61)).more == []
    shown = page.get(reverse("what-if"), question(skiff, times=1, by=f"{day(61)}")).content.decode()
    assert "What is short is ordered today and comes in time." in shown


def test_materials_with_a_comma_in_their_names_are_told_apart(page, tank):
    shown = page.get(reverse("what-if"), question(tank, by=f"{day(5)}")).content.decode()
    assert "mat, cut; resin, slow cannot be here in time" in shown


def test_product_of_unknown_pack_is_to_be_bought_and_costs_what_nobody_knows(owner, supplier):
    resin = make_chemical("resin", supplier=supplier)
    mat = make_reinforcement("mat", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")
    tank = make_job(by=owner, name="Tank", resin=resin, waste_percent=Decimal(0), cut_on=day(20))
    make_ply(make_part(tank), mat, length_mm=10_000, width_mm=1_200, direction="any")
    make_sure(make_roll(by=owner, reinforcement=mat, length_mm=200_000))
    (more,) = asked(tank, 1, day(20)).more
    assert ([item.words for item in more.lines], more.cost) == (["25.20 kg in all; pack size not known"], None)
