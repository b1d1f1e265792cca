"""The reason why a plan may take cloth of jobs served before it: asked for, kept while typed, decided by name."""

import datetime
import re

import pytest
from django.urls import reverse

from jobs.cutting.actions import TakesFromOthers, confirm_plan
from jobs.models import CuttingPlan, Job, Precedence
from jobs.plan_making import make_plan
from jobs.plan_runs import queue_run
from jobs.precedences import let_before
from shopstock import ledger
from shopstock.models import SetAside
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, make_sure
from tests.jobs.factories import planned, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

PLY = {"length_mm": 10_000, "width_mm": 1_200, "may_turn": False}


@pytest.fixture
def boats(owner) -> list[Job]:
    """Three that want 10 m each, the first to be cut first, and 25 m on the rack."""
    kind = make_reinforcement("roving 600")
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=25_000))
    days = {"Early": 3, "Middle": 6, "Late": 9}
    return [
        simple_job(by=owner, reinforcement=kind, name=name, cut_on=TODAY + datetime.timedelta(days=number), **PLY)
        for name, number in days.items()
    ]


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def together(first: Job, *also: Job, by) -> CuttingPlan:
    return make_plan(job=first, also=also, by=by, at=NOON)


def test_jobs_planned_together_take_nothing_unasked_from_one_between_them(boats, owner):
    early, middle, late = boats
    plan = together(early, late, by=owner)
    with pytest.raises(TakesFromOthers) as refusal:
        confirm_plan(plan=plan, by=owner, at=NOON)
    assert (refusal.value.jobs, SetAside.objects.count()) == ([middle], 0)


def test_decision_names_the_job_that_is_served_behind_not_the_one_the_plan_is_filed_under(boats, owner):
    early, _, late = boats
    confirm_plan(plan=together(early, late, by=owner), by=owner, at=NOON, why_first="one mould for both")
    assert list(map(str, Precedence.objects.all())) == ["Late before Middle"]


def test_jobs_together_ahead_of_all_others_are_asked_nothing(boats, owner):
    early, middle, _ = boats
    confirm_plan(plan=together(early, middle, by=owner), by=owner, at=NOON)
    assert Precedence.objects.count() == 0


def test_plan_against_a_standing_decision_says_which_to_take_back(page, boats, owner):
    early, _, late = boats
    let_before(first=late, then=[boats[1], early], reason="sold", by=owner, at=NOON)
    before = SetAside.objects.count()
    plan = together(boats[1], early, by=owner)
    answer = page.post(
        reverse("plan-confirm", args=[plan.pk]), {"revision": plan.revision, "why_first": "the mould is free"}
    )
    shown = answer.content.decode()
    assert ("Take that back first" in shown, "the mould is free" in shown) == (True, True)
    assert (SetAside.objects.count(), Precedence.objects.count()) == (before, 2)


def test_reason_is_still_there_after_the_search_has_put_a_better_plan_in(page, boats, owner):
    confirm_plan(plan=planned(boats[0], owner), by=owner, at=NOON)
    plan = planned(boats[2], owner)
    seen = plan.revision
    CuttingPlan.objects.filter(pk=plan.pk).update(revision=seen + 1)
    answer = page.post(
        reverse("plan-confirm", args=[plan.pk]), {"revision": seen, "why_first": "the customer waits"}, follow=True
    )
    shown = answer.content.decode()
    assert "A better plan was found while you looked" in shown
    assert 'value="the customer waits"' in shown
    assert f'name="revision" value="{seen + 1}"' in shown
    assert SetAside.objects.filter(purpose="Late").count() == 0


def test_reason_asked_for_is_asked_for_in_the_better_plan_that_a_search_puts_in(page, boats, owner):
    confirm_plan(plan=planned(boats[0], owner), by=owner, at=NOON)
    plan = planned(boats[2], owner)
    queue_run(plan, problems=[], by=owner, at=NOON)
    asked = page.post(reverse("plan-confirm", args=[plan.pk]), {"revision": plan.revision}).content.decode()
    assert f"{reverse('plan-progress', args=[plan.pk])}?revision={plan.revision}&amp;why" in asked
    CuttingPlan.objects.filter(pk=plan.pk).update(revision=plan.revision + 1)
    query = {"revision": plan.revision, "why": ""}
    better = page.get(reverse("plan-progress", args=[plan.pk]), query, headers={"HX-Request": "true"}).content.decode()
    kept = re.compile(r'<input type="text" name="why_first"[^>]* hx-preserve="true"[^>]* required')
    assert (len(kept.findall(asked)), len(kept.findall(better)), "&amp;why" in better) == (1, 1, True)


def test_reason_is_still_there_on_the_new_plan_when_the_racks_have_changed(page, boats, owner, laminator):
    confirm_plan(plan=planned(boats[0], owner), by=owner, at=NOON)
    plan = planned(boats[2], owner)
    roll = plan.strips.get().roll
    ledger.record_cut(roll=roll, length_mm=500, by=laminator, at=NOON, key="k-1")
    shown = page.post(reverse("plan-confirm", args=[plan.pk]), {"revision": plan.revision, "why_first": "sold"})
    assert ("has changed" in shown.content.decode(), 'value="sold"' in shown.content.decode()) == (True, True)
    assert shown.context["plan"].pk != plan.pk
