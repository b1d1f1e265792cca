import datetime
from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.models import Job, Mix, MixDraw
from shopstock import demand
from shopstock.calc.climate import Reading
from shopstock.climate.actions import store_reading
from shopstock.ledger_check import differences
from shopstock.models import Chemical, ContainerMovement, PotLife, Shop
from tests.factories import NOON, make_chemical, make_container, make_place, new_key
from tests.jobs.mixing.conftest import day


@pytest.fixture
def page(client, laminator):
    client.force_login(laminator)
    return client


def address(job, what="resin", **query) -> str:
    values = {"temperature": "20 °C", "percent": "2"} | query
    return reverse("mix-job", args=[job.pk, what]) + "?" + "&".join(f"{k}={v}" for k, v in values.items())


def second(catalyst) -> dict:
    return {"second": catalyst.pk}


def confirm(page, job, catalyst, drum, can, what="resin", query=None, **entry):
    values = {
        "number": "1",
        "resin": drum.code,
        "resin_g": "1050 g",
        "second": can.code,
        "second_g": "21 g",
        "key": new_key("pot"),
    }
    return page.post(address(job, what, **second(catalyst), **(query or {})), values | entry, follow=True)


def text(response) -> str:
    return response.content.decode()


def left(container) -> int:
    container.refresh_from_db()
    return container.mass_g


@pytest.fixture
def two_pots(db):
    """A cap of 1.05 kg makes two pots of the job's 2.1 kg."""
    Shop.objects.update_or_create(pk=1, defaults={"pot_cap_g": 1050})


def test_sheet_weighs_out_grams_and_the_same_catalyst_in_millilitres(page, job, catalyst, drum, can, two_pots):
    found = page.get(address(job, **second(catalyst))).context
    assert [(pot.number, pot.pot.mass_g) for pot in (found["pot"], *found["later"])] == [(1, 1050), (2, 1050)]
    weighing = found["pot"].weighing
    assert (weighing.resin_g, weighing.second_g) == (1050, 21)
    assert weighing.second_ml == pytest.approx(21 / 1.15)
    assert [(ply.name, grams) for ply, grams in found["pot"].plies] == [("Hull, ply 1", 1050)]


def test_pots_get_smaller_when_the_pot_life_is_short(page, job, catalyst):
    Shop.objects.update_or_create(pk=1, defaults={"pot_cap_g": 5000, "resin_laid_g_per_hour": 5_000})
    # 5 kg/h for 60 % of 18 min is 900 g
    found = page.get(address(job, **second(catalyst))).context
    assert (found["sheet"].pots.count, found["sheet"].pots.most_g) == (3, pytest.approx(900))


def test_confirmed_pot_is_drawn_and_tied_to_job_and_ply(page, job, catalyst, drum, can, laminator, two_pots):
    answer = confirm(page, job, catalyst, drum, can, resin_g="1060 g")
    assert "Pot 1 is noted" in text(answer)
    assert (left(drum), left(can)) == (18_940, 979)
    mix = Mix.objects.get()
    assert (mix.job, mix.by, mix.mixed_g, mix.planned_g, mix.percent) == (job, laminator, 1060, 1050, Decimal("1.98"))
    assert [(ply.ply.number, ply.mass_g) for ply in mix.plies.all()] == [(1, 1050)]
    assert [draw.role for draw in mix.draws.all()] == ["resin", "catalyst"]
    assert drum.movements.first().reason == "Dory, pot 1: Hull, ply 1"
    assert answer.context["pot"].number == 2


def test_what_is_mixed_is_needed_no_more_and_the_catalyst_that_was_begun_stays(
    page, job, catalyst, drum, can, two_pots
):
    other = make_chemical("Another catalyst", kind="peroxide")

    def needed() -> dict[int, int]:
        return {need.chemical_id: need.mass_g for need in demand.resin_needs(NOON.date())}

    assert needed() == {drum.chemical_id: 2100, catalyst.pk: 37}  # 1.75 %, the middle of the data sheet
    make_container(by=job.made_by, chemical=other, mass_g=5_000)
    assert needed() == {drum.chemical_id: 2100, other.pk: 37}
    confirm(page, job, catalyst, drum, can)
    assert needed() == {drum.chemical_id: 1050, catalyst.pk: 19}


def test_pot_sent_twice_is_one_pot(page, job, catalyst, drum, can, two_pots):
    for _ in range(2):
        confirm(page, job, catalyst, drum, can, key="tap")
    assert (Mix.objects.count(), left(drum), left(can)) == (1, 18_950, 979)


def test_pot_that_somebody_else_mixed_meanwhile_is_refused(page, job, catalyst, drum, can, two_pots):
    confirm(page, job, catalyst, drum, can)
    answer = confirm(page, job, catalyst, drum, can)
    assert "That pot was mixed already" in text(answer)
    assert (Mix.objects.count(), left(drum)) == (1, 18_950)


def test_after_the_last_pot_nothing_is_left_to_mix(page, job, catalyst, drum, can, two_pots):
    confirm(page, job, catalyst, drum, can)
    answer = confirm(page, job, catalyst, drum, can, number="2")
    assert "All that is planned is mixed" in text(answer)
    assert answer.context["ratio"].so_far == pytest.approx(2100 / 900)


def test_running_ratio_is_shown_against_the_limit(page, job, catalyst, drum, can, two_pots):
    Job.objects.update(max_resin_ratio=Decimal("2.40"))
    ratio = confirm(page, job, catalyst, drum, can, resin_g="1100 g").context["ratio"]
    assert (ratio.so_far, ratio.is_over) == (pytest.approx(1100 / 450), True)
    Job.objects.update(max_resin_ratio=Decimal("2.50"))
    assert not page.get(address(job, **second(catalyst))).context["ratio"].is_over


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"percent": "3"}, "3 % is outside the data sheet: at 20 °C it allows 1 to 2.5 %"),
        ({"percent": "0.5"}, "0.5 % is outside the data sheet"),
        ({"temperature": "26 °C"}, "gives no dose at 26 °C"),
        ({"temperature": "12 °C"}, "At 12 °C nothing is laminated here"),
        ({"temperature": "22 °C"}, "gives pot life from 15 to 20 °C, not at 22 °C"),
    ],
)
def test_outside_the_data_sheet_mixing_is_blocked_and_a_pot_sent_all_the_same_is_not_taken(
    page, job, catalyst, drum, can, query, words
):
    answer = page.get(address(job, **second(catalyst), **query))
    assert words in text(answer)
    assert "Do not mix" in text(answer)
    assert "pot" not in answer.context
    confirm(page, job, catalyst, drum, can, query=query)
    assert (Mix.objects.count(), left(drum)) == (0, 20_000)


def test_dose_weighed_outside_the_data_sheet_is_refused_and_kept_as_typed(page, job, catalyst, drum, can, two_pots):
    answer = confirm(page, job, catalyst, drum, can, second_g="31 g")
    assert "2.95 % is outside the data sheet" in text(answer)
    assert 'name="second_g" value="31 g"' in text(answer)
    assert (left(drum), left(can)) == (20_000, 1_000)


def test_dose_measured_by_a_chart_is_warned_of(page, job, catalyst, drum, can, two_pots):
    answer = confirm(page, job, catalyst, drum, can, second_g="24.15 g")  # 21 mL taken for 21 g
    assert "15 % too much catalyst" in text(answer)
    assert left(can) == 976


def test_catalyst_in_millilitres_is_refused_because_a_volume_is_not_a_mass(page, job, catalyst, drum, can, two_pots):
    assert "mL is no mass. Weigh it" in text(confirm(page, job, catalyst, drum, can, second_g="18 mL"))


def test_resin_without_doses_on_its_page_cannot_be_mixed(page, job, catalyst, resin):
    resin.dose_bands.all().delete()
    assert "Copy it from its data sheet to its page first" in text(page.get(address(job, **second(catalyst))))


def test_resin_without_pot_life_cannot_be_mixed(page, job, catalyst):
    PotLife.objects.all().delete()
    assert "pot life is not noted" in text(page.get(address(job, **second(catalyst))))


def test_container_that_is_not_the_first_to_go_is_stopped_with_the_right_one_named(
    page, job, catalyst, resin, drum, can, clerk, two_pots
):
    first = make_container(by=clerk, chemical=resin, label_date=day(9), batch="PR-0", place=make_place("Resin room"))
    answer = confirm(page, job, catalyst, drum, can)
    assert f"Take {first.code} (Resin room) first, batch PR-0: it ends on 2026-03-11." in text(answer)
    assert 'name="out_of_order"' not in text(answer)
    confirm(page, job, catalyst, drum, can, out_of_order="it is nearer")
    assert (Mix.objects.count(), left(drum)) == (0, 20_000)


def test_clerk_may_pass_over_the_first_with_a_reason_that_the_ledger_keeps(
    client, job, catalyst, resin, drum, can, clerk, two_pots
):
    first = make_container(by=clerk, chemical=resin, label_date=day(9))
    client.force_login(clerk)
    assert 'name="out_of_order"' in text(confirm(client, job, catalyst, drum, can))
    confirm(client, job, catalyst, drum, can, out_of_order="pump is on it")
    assert left(drum) == 18_950
    assert drum.movements.first().reason.endswith(f"taken before {first.code}, which goes first: pump is on it")


def test_job_goes_on_with_the_batch_it_began_with(page, job, catalyst, resin, drum, can, clerk, two_pots):
    confirm(page, job, catalyst, drum, can)
    make_container(by=clerk, chemical=resin, label_date=day(9), batch="PR-0")
    assert page.get(address(job, **second(catalyst))).context["first"] == drum
    confirm(page, job, catalyst, drum, can, number="2")
    assert left(drum) == 17_900


def test_pot_out_of_two_containers_when_the_first_runs_empty(page, job, catalyst, resin, drum, can, clerk, two_pots):
    first = make_container(by=clerk, chemical=resin, mass_g=300, label_date=day(9))
    entry = {"resin": first.code, "resin_g": "300 g", "more": drum.code, "more_g": "750 g"}
    confirm(page, job, catalyst, drum, can, **entry)
    assert (left(first), left(drum), Mix.objects.get().mixed_g) == (0, 19_250, 1050)
    assert MixDraw.objects.count() == 3


def test_second_container_without_its_mass_is_asked_for(page, job, catalyst, drum, can):
    assert "needs its code and what was weighed" in text(confirm(page, job, catalyst, drum, can, more=drum.code))


def test_wrong_product_is_refused_and_nothing_is_drawn(page, job, catalyst, drum, can, two_pots):
    answer = confirm(page, job, catalyst, can, can)
    assert f"{can.code} holds Catalyst, not Laminating resin" in text(answer)
    assert ContainerMovement.objects.filter(kind="draw").count() == 0


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ({"resin": "NONSENSE"}, "no container of this store"),
        ({"resin": ""}, "Fill this in"),
        ({"resin_g": "a lot"}, "not a number"),
        ({"resin_g": "21 kg", "second_g": "420 g"}, "20.00 kg left; 21.00 kg is more"),
    ],
)
def test_pot_that_makes_no_sense_is_refused(page, job, catalyst, drum, can, entry, words):
    assert words in text(confirm(page, job, catalyst, drum, can, **entry))
    assert (left(drum), left(can)) == (20_000, 1_000)


def test_past_container_is_refused(page, job, catalyst, resin, can, clerk, two_pots):
    dead = make_container(by=clerk, chemical=resin, label_date=day(-1))
    assert "went past its date" in text(confirm(page, job, catalyst, dead, can))


def test_address_of_a_label_is_read_as_its_code(page, job, catalyst, drum, can, two_pots):
    confirm(page, job, catalyst, drum, can, resin=f"HTTP://STORE.LAN/C/{drum.code}")
    assert left(drum) == 18_950


def test_sheet_begins_with_the_last_reading_of_the_workshop_and_the_middle_of_its_dose(page, job, catalyst):
    store_reading(make_place("Shop floor", is_workshop=True), Reading(NOON, 18.0, 60.0), source="sensor")
    found = page.get(reverse("mix-job", args=[job.pk, "resin"])).context
    assert found["conditions"].temperature_c == 18.0
    assert found["conditions"].percent == 1.75


def test_sheet_without_a_reading_asks_for_the_temperature(page, job, catalyst):
    old = Reading(NOON - datetime.timedelta(days=2), 18.0)
    store_reading(make_place("Shop floor", is_workshop=True), old, source="hand")
    found = page.get(reverse("mix-job", args=[job.pk, "resin"]))
    assert "pot" not in found.context
    assert "Temperature in the shop" in text(found)


@pytest.fixture
def epoxy_job(job):
    """2100 g of mix at 100:30."""
    epoxy = make_chemical("Epoxy", kind="epoxy", density_liquid=Decimal("1.15"))
    hardener = make_chemical(
        "Hardener", kind="hardener", density_liquid=Decimal("0.95"), mixes_with=epoxy, parts_by_mass=30
    )
    PotLife.objects.create(chemical=hardener, temperature_c=25, minutes=30)
    Job.objects.update(resin=epoxy)
    return hardener


def test_epoxy_is_split_by_mass_and_its_pot_life_by_rule_says_so(page, job, epoxy_job):
    found = page.get(address(job, percent="", **second(epoxy_job))).context
    weighing = found["pot"].weighing
    assert (round(weighing.resin_g, 1), round(weighing.second_g, 1)) == (1615.4, 484.6)
    assert (round(found["sheet"].life.minutes, 1), found["sheet"].life.by_rule) == (42.4, True)


def test_hardener_weighed_in_the_ratio_by_volume_is_refused(page, job, epoxy_job, clerk):
    drum = make_container(by=clerk, chemical=Chemical.objects.get(name="Epoxy"))
    can = make_container(by=clerk, chemical=epoxy_job)
    entry = {"resin_g": "1615 g", "query": {"percent": ""}}
    answer = confirm(page, job, epoxy_job, drum, can, second_g="586 g", **entry)  # 100:36.3
    assert "1615 g of resin take 484 g of hardener, not 586 g" in text(answer)
    confirm(page, job, epoxy_job, drum, can, second_g="485 g", **entry)
    assert Mix.objects.get().mixed_g == 2100


def test_gelcoat_takes_the_first_batch_that_holds_enough_alone(page, job, catalyst, clerk, resin):
    gelcoat = make_chemical("Gelcoat", kind="gelcoat", density_liquid=Decimal("1.2"))
    Job.objects.update(gelcoat=gelcoat, gelcoat_area_m2=10, gelcoat_film_mm=Decimal("0.5"))
    for model in (resin.dose_bands, resin.pot_lives):
        model.update(chemical=gelcoat)
    make_container(by=clerk, chemical=gelcoat, mass_g=4_000, label_date=day(9), batch="G1")
    second_batch = make_container(by=clerk, chemical=gelcoat, mass_g=10_000, label_date=day(40), batch="G2")
    assert page.get(address(job, "gelcoat", **second(catalyst))).context["first"] == second_batch


def test_resin_mixed_already_is_no_demand_any_more(page, job, catalyst, drum, can, two_pots, resin):
    def wanted() -> int:
        return sum(need.mass_g for need in demand.resin_needs(day(0)) if need.chemical_id == resin.pk)

    assert wanted() == 2_100
    confirm(page, job, catalyst, drum, can)
    assert wanted() == 1_050


def test_what_was_mixed_is_listed_and_exported_with_its_batches(page, job, catalyst, drum, can, two_pots):
    confirm(page, job, catalyst, drum, can)
    listed = text(page.get(reverse("mixes-of-job", args=[job.pk])))
    assert "(PR-1)" in listed
    exported = page.get(reverse("mixes-of-job", args=[job.pk]) + "?_export=csv").content.decode()
    assert f"{drum.code} 1050 g, batch PR-1" in exported


def test_list_of_mixes_asks_the_database_as_often_for_two_pots_as_for_one(
    page, job, catalyst, drum, can, two_pots, django_assert_max_num_queries
):
    confirm(page, job, catalyst, drum, can)
    with django_assert_max_num_queries(60) as first:
        page.get(reverse("mixes-of-job", args=[job.pk]))
    asked = len(first)
    confirm(page, job, catalyst, drum, can, number="2")
    with django_assert_max_num_queries(asked):
        page.get(reverse("mixes-of-job", args=[job.pk]))


@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
def test_sheet_is_for_everybody_with_a_role(client, request, job, role):
    client.force_login(request.getfixturevalue(role))
    code = client.get(reverse("mix-job", args=[job.pk, "resin"])).status_code
    assert code == (403 if role == "outsider" else 200)


def test_cancelled_job_is_not_mixed_for(page, job, catalyst, drum, can, two_pots):
    Job.objects.update(state="cancelled")
    assert "is cancelled: nothing is mixed" in text(confirm(page, job, catalyst, drum, can))


def test_job_that_is_cut_is_still_mixed_for(page, job, catalyst, drum, can, two_pots):
    Job.objects.update(state="done")
    confirm(page, job, catalyst, drum, can)
    assert Mix.objects.count() == 1


def test_ledger_stays_true_after_a_pot(page, job, catalyst, drum, can, two_pots):
    confirm(page, job, catalyst, drum, can)
    assert list(differences()) == []


def test_pot_whose_second_draw_fails_draws_nothing(page, job, catalyst, drum, clerk, two_pots):
    can = make_container(by=clerk, chemical=catalyst, mass_g=5)
    assert "left" in text(confirm(page, job, catalyst, drum, can))
    assert (left(drum), left(can), Mix.objects.count()) == (20_000, 5, 0)
