import pytest
from django.urls import reverse

from jobs.models import CuttingPlan, Part, Ply
from shopstock import ledger
from shopstock.models import Shop
from tests.factories import NOON, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, make_job, make_part, planned, simple_job


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def kind(db):
    return make_reinforcement("Roving 600")


@pytest.fixture
def job(owner):
    return make_job(by=owner)


def ply(kind, **changed) -> dict:
    return {
        "number": "1",
        "reinforcement": kind.pk,
        "length": "2.5 m",
        "width": "50 in",
        "count": "2",
        "direction": "90",
        "may_turn": "on",
        "overlap": "50 mm",
        "fibre_mass_fraction": "",
    } | changed


def test_new_part_leads_on_to_its_first_ply(page, job):
    response = page.post(reverse("part-add", args=[job.pk]), {"name": "Deck", "count": "3"})
    part = Part.objects.get()
    assert (part.name, part.count, response.url) == ("Deck", 3, reverse("ply-add", args=[part.pk]))


def test_second_part_of_the_same_name_is_refused_at_the_field(page, job):
    make_part(job, "Deck")
    response = page.post(reverse("part-add", args=[job.pk]), {"name": "deck", "count": "1"})
    assert "Choose another name" in response.context["form"].errors["name"][0]


LIMIT = "one cutting plan takes 2,000 of a reinforcement"


def test_more_pieces_than_a_plan_takes_are_refused_where_they_are_typed(page, job, kind):
    part = make_part(job, count=400)
    page.post(reverse("ply-add", args=[part.pk]), ply(kind, count="5"))
    response = page.post(reverse("ply-add", args=[part.pk]), ply(kind, number="2", count="1"))
    assert response.context["form"].errors["count"][0].startswith("That makes 2,400 pieces of Roving 600 in this job")
    assert LIMIT in response.context["form"].errors["count"][0]
    assert Ply.objects.count() == 1


def test_part_made_more_often_than_a_plan_takes_is_refused_where_it_is_typed(page, job, kind):
    part = make_part(job)
    page.post(reverse("ply-add", args=[part.pk]), ply(kind, count="5"))
    response = page.post(reverse("part-edit", args=[part.pk]), {"name": "Deck", "count": "500"})
    assert LIMIT in response.context["form"].errors["count"][0]
    assert Part.objects.get().count == 1


def test_ply_changed_to_more_pieces_than_a_plan_takes_stays_as_it_was(page, job, kind):
    part = make_part(job, count=500)
    page.post(reverse("ply-add", args=[part.pk]), ply(kind, count="4"))
    response = page.post(reverse("ply-edit", args=[Ply.objects.get().pk]), ply(kind, count="500"))
    assert "That makes 250,000 pieces" in response.context["form"].errors["count"][0]
    assert Ply.objects.get().count == 4


def test_ply_is_read_with_its_units(page, job, kind):
    page.post(reverse("ply-add", args=[make_part(job).pk]), ply(kind))
    made = Ply.objects.get()
    assert (made.length_mm, made.width_mm, made.count, made.direction) == (2_500, 1_270, 2, "90")
    assert (made.may_turn, made.may_seam, made.overlap_mm) == (True, False, 50)


def test_number_alone_is_in_the_small_unit_of_the_shop(page, job, kind):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    page.post(reverse("ply-add", args=[make_part(job).pk]), ply(kind, width="10", length="108"))
    assert (Ply.objects.get().width_mm, Ply.objects.get().length_mm) == (254, 2_743)


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("length", "long"),
        ("length", "0 mm"),
        ("length", "201 m"),
        ("length", "-1 m"),
        ("width", "3 kg"),
        ("count", "0"),
        ("count", "501"),
        ("direction", "30"),
        ("overlap", "wide"),
        ("reinforcement", "99999"),
        ("fibre_mass_fraction", "30"),
        ("number", "x"),
    ],
)
def test_ply_with_a_wrong_value_says_so_at_the_field_and_keeps_what_was_typed(page, job, kind, field, typed):
    response = page.post(reverse("ply-add", args=[make_part(job).pk]), ply(kind, **{field: typed}))
    form = response.context["form"]
    assert (list(form.errors), form[field].value(), Ply.objects.count()) == ([field], typed, 0)


def test_second_tap_on_a_ply_is_one_ply(page, job, kind):
    part = make_part(job)
    for _ in range(2):
        response = page.post(reverse("ply-add", args=[part.pk]), ply(kind))
    assert Ply.objects.count() == 1
    assert "next free number" in response.context["form"].errors["number"][0]


def test_further_ply_starts_as_the_one_before_it(page, job, kind):
    part = make_part(job)
    page.post(reverse("ply-add", args=[part.pk]), ply(kind))
    form = page.get(reverse("ply-add", args=[part.pk])).context["form"]
    assert (form["number"].value(), form["length"].value(), form["width"].value()) == (2, "2.50 m", "1.27 m")


def test_changing_a_ply_takes_the_plan_on_offer_back(page, owner, kind):
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind)
    plan = planned(job, owner)
    page.post(reverse("ply-edit", args=[Ply.objects.get().pk]), ply(kind))
    plan.refresh_from_db()
    assert (plan.state, Ply.objects.get().length_mm) == (CuttingPlan.State.CANCELLED, 2_500)


def test_lay_up_stands_while_cloth_is_set_aside_for_it(page, owner, kind):
    make_roll(by=owner, reinforcement=kind)
    confirmed(simple_job(by=owner, reinforcement=kind), owner)
    response = page.post(reverse("ply-edit", args=[Ply.objects.get().pk]), ply(kind))
    assert "Cancel the cutting plan first" in response.context["form"].non_field_errors()[0]
    assert Ply.objects.get().length_mm == 2_000


def test_part_that_is_partly_cut_stays_as_it_is(page, owner, kind):
    roll = make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind)
    strip = confirmed(job, owner).strips.get()
    ledger.record_cut(roll=roll, length_mm=strip.length_mm, by=owner, at=NOON, key=new_key(), set_aside=strip.set_aside)
    page.post(reverse("ply-remove", args=[Ply.objects.get().pk]))
    page.post(reverse("part-remove", args=[Part.objects.get().pk]))
    assert (Ply.objects.count(), Part.objects.count()) == (1, 1)


def test_ply_of_a_cancelled_plan_can_be_taken_out(page, owner, kind):
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind)
    plan = confirmed(job, owner)
    page.post(reverse("plan-cancel", args=[plan.pk]))
    page.post(reverse("ply-remove", args=[Ply.objects.get().pk]))
    assert Ply.objects.count() == 0


def test_part_goes_with_its_plies(page, owner, kind):
    job = simple_job(by=owner, reinforcement=kind)
    page.post(reverse("part-remove", args=[job.parts.get().pk]))
    assert (Part.objects.count(), Ply.objects.count()) == (0, 0)
