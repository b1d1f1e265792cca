import csv
import io

import pytest
from django.urls import reverse

from jobs.models import CuttingPlan, Job
from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import SetAside
from tests.factories import NOON, make_reinforcement, make_roll, make_sure, new_key
from tests.jobs.factories import confirmed, planned, simple_job


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def kind(db):
    return make_reinforcement("Roving 600")


@pytest.fixture
def roll(kind, owner):
    return make_roll(by=owner, reinforcement=kind, length_mm=5_000, faults=[FoundFault(700, 900, "crease")])


@pytest.fixture
def job(owner, kind, roll):
    return simple_job(by=owner, reinforcement=kind, name="Skiff 3", length_mm=2_000, width_mm=800, may_turn=False)


def post(page, name, pk, **data):
    return page.post(reverse(name, args=[pk]), data, follow=True)


def said(response) -> list[str]:
    return [str(message) for message in response.context["messages"]]


def test_planning_and_confirming_from_the_pages_sets_the_cloth_aside(page, job, roll):
    response = post(page, "plan-job", job.pk)
    plan = CuttingPlan.objects.get()
    assert response.redirect_chain[-1][0] == plan.get_absolute_url()
    response = post(page, "plan-confirm", plan.pk)
    assert said(response) == ["2.00 m in 1 strip is set aside for Skiff 3. The laminator sees it at the roll."]
    roll.refresh_from_db()
    assert roll.set_aside_mm == 2_000


def test_double_tap_on_confirm_sets_aside_once(page, job, owner):
    plan = planned(job, owner)
    for _ in range(2):
        post(page, "plan-confirm", plan.pk)
    assert SetAside.objects.count() == 1


def test_stale_plan_is_refused_with_the_roll_named_and_a_new_one_is_on_offer(page, job, owner, roll, laminator):
    plan = planned(job, owner)
    ledger.record_loss(roll=roll, length_mm=900, by=laminator, at=NOON, key=new_key(), reason="crease")
    response = post(page, "plan-confirm", plan.pk)
    assert f"Roll {roll.code} has changed: it had 5.00 m and has 4.10 m now" in said(response)[0]
    offered = response.context["plan"]
    assert (offered.state, offered.pk != plan.pk, SetAside.objects.count()) == ("offered", True, 0)
    post(page, "plan-confirm", offered.pk)
    assert SetAside.objects.get().length_mm == 2_000


def test_confirming_a_replaced_plan_sends_back_to_the_job(page, job, owner):
    old = planned(job, owner)
    planned(job, owner)
    assert said(post(page, "plan-confirm", old.pk)) == ["This plan is replaced by a newer one: plan the cutting again."]


def test_short_plan_asks_for_the_tick_and_names_what_is_short(page, owner, kind, roll):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=3, may_turn=False)
    plan = planned(job, owner)
    response = page.post(reverse("plan-confirm", args=[plan.pk]))
    assert "Tick this" in response.context["form"].errors["accept_short"][0]
    assert "1 × <strong>Hull 1</strong>" in response.content.decode()
    assert SetAside.objects.count() == 0
    post(page, "plan-confirm", plan.pk, accept_short="on")
    assert sum(SetAside.objects.values_list("length_mm", flat=True)) == 4_000


def test_cancelling_says_how_many_strips_are_free_again(page, job, owner, roll):
    plan = confirmed(job, owner)
    assert said(post(page, "plan-cancel", plan.pk)) == ["The plan is cancelled; 1 strip given back."]
    roll.refresh_from_db()
    assert roll.set_aside_mm == 0


def test_cut_list_names_what_is_cut_away_first_and_why(page, job, owner, roll):
    plan = planned(job, owner)
    steps = page.get(plan.get_absolute_url()).context["pages"][0].steps
    assert [(step.from_mm, step.length_mm, step.why) for step in steps] == [
        (0, 900, "crease; keep the clean end before it as an offcut"),
        (900, 2_000, ""),
    ]


def test_cut_list_as_csv_has_the_same_steps(page, job, owner, roll):
    content = page.get(reverse("plan-file", args=[planned(job, owner).pk])).content.decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(content)))
    assert [(row["step"], row["from free end (mm)"], row["length (mm)"], row["blank"]) for row in rows] == [
        ("cut away", "0", "900", ""),
        ("strip", "900", "2000", "Hull 1"),
        ("keep offcut", "900", "2000", ""),
        ("keep offcut", "900", "2000", ""),
    ]
    assert {row["roll"] for row in rows} == {roll.code}


def test_plan_stays_readable_as_it_was_after_its_strips_are_cut(page, job, owner, roll):
    plan = confirmed(job, owner)
    strip = plan.strips.get()
    ledger.record_loss(roll=roll, length_mm=900, by=owner, at=NOON, key=new_key(), reason="crease")
    ledger.record_cut(roll=roll, length_mm=2_000, by=owner, at=NOON, key=new_key(), set_aside=strip.set_aside)
    response = page.get(plan.get_absolute_url())
    assert [(step.from_mm, step.state) for step in response.context["pages"][0].strips] == [(900, "cut")]
    assert Job.objects.get().state == Job.State.DONE


def test_strip_given_back_is_flagged_on_the_plan(page, job, owner, roll):
    plan = confirmed(job, owner)
    ledger.record_recount(roll=roll, length_mm=1_500, by=owner, at=NOON, key=new_key(), reason="tape")
    text = page.get(plan.get_absolute_url()).content.decode()
    assert f"strip 1 of roll {roll.code}" in text
    assert "Plan again" in text


def test_blanks_of_a_strip_come_as_a_page_or_as_a_piece_of_one(page, job, owner):
    confirmed(job, owner)
    address = reverse("strip-blanks", args=[SetAside.objects.get().pk])
    whole = page.get(address).content.decode()
    piece = page.get(address, headers={"hx-request": "true"}).content.decode()
    assert ("<html" in whole, "<html" in piece) == (True, False)
    for text in (whole, piece):
        assert "<strong>Hull 1</strong>" in text
        assert "1: Hull 1, 2000 mm along the roll and 800 mm across." in text


def test_length_set_aside_by_hand_has_no_blanks(page, owner, roll):
    made = ledger.set_aside(promises=[ledger.Promise(roll, 300, "Repair")], by=owner, at=NOON)[0]
    text = page.get(reverse("strip-blanks", args=[made.pk])).content.decode()
    assert "not part of a cutting plan" in text


def test_each_drawing_of_a_page_has_its_own_hatch(page, owner, kind):
    for length_mm in (2_100, 2_200):
        make_roll(by=owner, reinforcement=kind, length_mm=length_mm)
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=1_200, count=2, may_turn=False)
    text = page.get(planned(job, owner).get_absolute_url()).content.decode()
    names = [part.split('"')[0] for part in text.split('<pattern id="')[1:]]
    assert len([name for name in names if not name.endswith("-end")]) == 2
    assert len(set(names)) == len(names)


def test_fault_beside_the_pieces_of_a_strip_is_told_where_it_is_planned_and_where_it_is_cut(page, owner):
    kind = make_reinforcement("Streaked 600")
    streak = FoundFault(0, 20_000, "oil", across_mm=(0, 200))
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000, faults=[streak]))
    plan = confirmed(
        simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=900, name="Cabin", may_turn=False), owner
    )
    shown = page.get(plan.get_absolute_url()).content.decode()
    assert "beside oil, 0 mm to 200 mm from the left edge" in shown
    told = page.get(reverse("strip-blanks", args=[plan.strips.get().set_aside_id])).content.decode()
    assert "Oil 0 mm to 200 mm from the left edge. Lay nothing there." in told
