"""The page of a plan while a search goes on: figures and picture change by themselves, without a reload."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from jobs.models import CuttingPlan, PlanRun
from jobs.plan_runs import claim_next, finish, note_better, queue_run
from tests.browser.chromium import DESK, PHONE
from tests.factories import NOON, make_person, make_reinforcement, make_roll
from tests.jobs.factories import planned, simple_job


@pytest.fixture
def owner(transactional_db):
    return make_person("olga", "owner")


@pytest.fixture
def plan(owner) -> CuttingPlan:
    kind = make_reinforcement("Roving 600")
    make_roll(by=owner, reinforcement=kind, length_mm=20_000)
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=800), owner)
    plan.materials[0]["proved"] = False  # a job this small is proved at once, and a proved plan offers no search
    plan.save()
    return plan


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_better_plan_shows_by_itself_and_is_what_is_confirmed(visit, owner, plan, size):
    queue_run(plan, problems=[], by=owner, at=NOON)
    run = claim_next("one", at=NOON)
    page = visit(owner, size).page
    page.goto(plan.get_absolute_url())
    page.evaluate("window.stayed = true")
    note_better(run, at=NOON, better=True, cloth_mm2=2_345_000, bound_mm2=2_000_000, spent_ms=7_000)
    plan.strips.update(length_mm=1_234)
    CuttingPlan.objects.filter(pk=plan.pk).update(revision=2)
    expect(page.get_by_text("2.35 m²")).to_be_visible()
    expect(page.get_by_text("7 of 20 s")).to_be_visible()
    expect(page.locator("#plan .big-figure", has_text="1.234 m")).to_be_visible()
    finish(run, at=NOON)
    expect(page.get_by_text("Search longer")).to_be_visible()
    assert page.evaluate("window.stayed") is True
    page.get_by_role("button", name="Confirm").click()
    expect(page.get_by_text("The laminator sees it at the roll.")).to_be_visible()


def test_good_enough_stops_the_search(visit, owner, plan):
    queue_run(plan, problems=[], by=owner, at=NOON)
    page = visit(owner, PHONE).page
    page.goto(plan.get_absolute_url())
    page.get_by_role("button", name="Good enough").click()
    expect(page.get_by_text("The search ends.")).to_be_visible()
    assert PlanRun.objects.get().state == "done"


def test_drawing_is_made_larger_and_smaller_again(visit, owner, plan):
    page = visit(owner, PHONE).page
    page.goto(plan.get_absolute_url())
    drawing = page.locator(".zoomable svg").first
    before = drawing.bounding_box()["width"]
    smaller = page.get_by_role("button", name="Smaller drawing").first
    page.get_by_role("button", name="Larger drawing").first.click()
    expect(smaller).to_have_attribute("aria-disabled", "false")
    larger = drawing.bounding_box()["width"]
    smaller.click()
    expect(smaller).to_have_attribute("aria-disabled", "true")
    assert (larger > 1.3 * before, drawing.bounding_box()["width"]) == (True, before)
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_outline_of_a_ply_and_settling_by_hand_fit_a_phone(visit, owner, plan):
    page = visit(owner, PHONE).page
    ply = plan.job.parts.get().plies.get()
    for address in (reverse("ply-outline", args=[ply.pk]), reverse("plan-by-hand", args=[plan.pk])):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
