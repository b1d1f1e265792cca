"""The search as the pages show it, and what the owner settles on them."""

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import CuttingPlan, PlanRun
from jobs.plan_runs import claim_next, finish, note_better, queue_run, show_worker
from jobs.wishes import Wishes
from shopstock.models import Shop
from tests.factories import NOON, make_reinforcement, make_roll, make_sure
from tests.jobs.factories import confirmed, planned, simple_job


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def kind(db):
    return make_reinforcement("Roving 600")


@pytest.fixture
def rolls(kind, owner):
    return [make_sure(make_roll(by=owner, reinforcement=kind, length_mm=20_000)) for _ in range(2)]


@pytest.fixture
def job(owner, kind, rolls):
    return simple_job(by=owner, reinforcement=kind, name="Skiff 3", length_mm=2_000, width_mm=800, may_turn=False)


@pytest.fixture
def plan(job, owner) -> CuttingPlan:
    return planned(job, owner)


@pytest.fixture
def run(plan, owner) -> PlanRun:
    return queue_run(plan, problems=[], by=owner, at=NOON)


def post(page, name, pk, **data):
    return page.post(reverse(name, args=[pk]), data, follow=True)


def said(response) -> list[str]:
    return [str(message) for message in response.context["messages"]]


def progress(page, plan, revision=None):
    query = {"revision": plan.revision if revision is None else revision}
    return page.get(reverse("plan-progress", args=[plan.pk]), query, headers={"hx-request": "true"}).content.decode()


def test_planning_with_a_worker_there_shows_a_plan_at_once_and_searches_on(page, job):
    show_worker("one", at=timezone.now())
    response = post(page, "plan-job", job.pk)
    assert response.context["strip_count"] == 1
    assert response.context["run"].state == "waiting"
    assert "A better plan is searched for next." in response.content.decode()


def test_planning_without_a_worker_is_done_in_the_request(page, job):
    response = post(page, "plan-job", job.pk)
    assert (response.context["strip_count"], response.context["run"]) == (1, None)


def test_page_that_waits_asks_again_and_gets_only_the_figures_while_the_plan_is_the_same(page, plan, run):
    mine = claim_next("one", at=NOON)
    _not_proved(plan)
    note_better(mine, at=NOON, better=False, cloth_mm2=2_500_000, bound_mm2=2_000_000, spent_ms=3_000)
    text = progress(page, plan)
    assert 'hx-trigger="every 1s"' in text
    assert "Searching for a better plan: 3 of 20 s." in text
    assert "2.50 m²" in text
    assert "2.00 m²; this plan takes at most 25.0 % more" in text
    assert 'id="plan"' not in text


def test_better_plan_comes_along_with_the_figures(page, plan, run):
    claim_next("one", at=NOON)
    text = progress(page, plan, revision=0)
    assert '<div id="plan" hx-swap-oob="true">' in text
    assert f'value="{plan.revision}"' in text  # what would be confirmed is what is shown


def test_while_no_bound_is_proved_the_page_says_that_it_is_being_worked_out(page, plan, run):
    PlanRun.objects.update(bound_mm2=0)
    assert "Least cloth any plan can use</dt><dd>being worked out</dd>" in progress(page, plan)


@pytest.mark.parametrize("state", ["waiting", "done"])
def test_proved_plan_offers_no_search(page, plan, run, state):
    assert plan.is_proved
    PlanRun.objects.update(state=state)
    text = page.get(plan.get_absolute_url()).content.decode()
    assert "this plan takes no more" in text
    assert "Good enough" not in text
    assert "Search longer" not in text


def test_plan_that_is_proved_while_it_is_looked_at_takes_the_button_away(page, plan, run):
    claim_next("one", at=NOON)
    assert '<div id="search-actions" hx-swap-oob="true"></div>' in progress(page, plan, revision=0)


def test_plan_a_hair_above_the_bound_is_not_called_proved(page, plan, run):
    _not_proved(plan)
    PlanRun.objects.update(cloth_mm2=10_000_001, bound_mm2=10_000_000)
    text = progress(page, plan)
    assert "this plan takes at most 0.1 % more" in text


def _not_proved(plan) -> None:
    plan.materials[0]["proved"] = False
    plan.save()


def test_page_stops_asking_when_the_search_is_over_and_may_search_longer(page, plan, run):
    _not_proved(plan)
    finish(claim_next("one", at=NOON), at=NOON)
    text = progress(page, plan)
    assert "hx-trigger" not in text
    assert "Search longer" in text


def test_failed_search_says_why(page, plan, run):
    claim_next("one", at=NOON)
    PlanRun.objects.update(state="failed", reason="Roll X has changed since this was asked: plan again")
    assert "The search ended: Roll X has changed" in page.get(plan.get_absolute_url()).content.decode()


def test_progress_without_script_is_the_page_itself(page, plan, run):
    assert page.get(reverse("plan-progress", args=[plan.pk])).url == plan.get_absolute_url()


def test_good_enough_ends_the_search(page, plan, run):
    assert said(post(page, "plan-stop", plan.pk)) == ["The search ends. The best plan found is this one."]
    run.refresh_from_db()
    assert run.state == "done"


def test_searching_longer_queues_another_search(page, plan):
    show_worker("one", at=timezone.now())
    post(page, "plan-search", plan.pk, seconds="60")
    assert plan.runs.get().seconds == 60
    post(page, "plan-search", plan.pk, seconds="60")
    assert plan.runs.count() == 1


@pytest.mark.parametrize(
    ("there", "seconds", "words"),
    [(False, "60", "Nobody is there to search"), (True, "5", "Choose how long"), (True, "", "Choose how long")],
)
def test_searching_longer_is_refused_with_what_to_do(page, plan, there, seconds, words):
    if there:
        show_worker("one", at=timezone.now())
    assert words in said(post(page, "plan-search", plan.pk, seconds=seconds))[0]
    assert not plan.runs.exists()


def test_confirmed_plan_is_not_searched_on(page, job, owner):
    show_worker("one", at=timezone.now())
    plan = confirmed(job, owner)
    assert "only one on offer" in said(post(page, "plan-search", plan.pk, seconds="60"))[0]


def test_plan_bettered_since_the_page_was_shown_is_shown_before_it_is_confirmed(page, plan):
    CuttingPlan.objects.filter(pk=plan.pk).update(revision=2)
    response = post(page, "plan-confirm", plan.pk, revision="1")
    assert said(response) == ["A better plan was found while you looked. This is it: look, then confirm."]
    assert response.context["plan"].state == "offered"
    post(page, "plan-confirm", plan.pk, revision="2")
    assert CuttingPlan.objects.get(pk=plan.pk).state == "confirmed"


def test_rolls_left_out_by_hand_make_a_new_plan_that_says_so(page, plan, rolls):
    used = plan.strips.get().roll
    response = post(page, "plan-by-hand", plan.pk, leave_out=[used.code])
    made = response.context["plan"]
    assert (made.pk != plan.pk, made.strips.get().roll != used) == (True, True)
    assert "is left out" in response.content.decode()


def test_piece_is_tied_and_strip_is_kept_by_hand(page, plan, rolls):
    strip = plan.strips.get()
    post(page, "plan-by-hand", plan.pk, **{"keep": [strip.pk], "pin-0": strip.roll.code})
    wishes = Wishes.from_json(CuttingPlan.objects.get(state="offered").wishes)
    assert [(pin.name, pin.roll) for pin in wishes.pins] == [("Hull 1", strip.roll.code)]
    assert [(kept.roll, kept.core_mm, kept.length_mm) for kept in wishes.kept] == [(strip.roll.code, 20_000, 2_000)]


def test_what_was_settled_before_is_ticked_when_the_form_is_opened_again(page, plan):
    strip = plan.strips.get()
    response = post(page, "plan-by-hand", plan.pk, keep=[strip.pk])
    again = response.context["plan"]
    form = page.get(reverse("plan-by-hand", args=[again.pk])).context["form"]
    assert form.initial["keep"] == [str(again.strips.get().pk)]


def test_roll_that_is_not_there_cannot_be_chosen(page, plan):
    response = post(page, "plan-by-hand", plan.pk, leave_out=["NONSENSE"])
    assert "leave_out" in response.context["form"].errors


def test_plan_that_does_not_count_any_more_is_not_settled(page, plan, job, owner):
    planned(job, owner)
    assert "plan again from the job" in said(post(page, "plan-by-hand", plan.pk))[0]


def test_two_jobs_are_planned_together_from_the_page(page, job, owner, kind):
    other = simple_job(by=owner, reinforcement=kind, name="Dinghy 2", length_mm=2_000, width_mm=400, may_turn=False)
    response = page.post(reverse("plan-together"), {"jobs": [job.pk, other.pk]}, follow=True)
    text = response.content.decode()
    assert "Together saves" in text
    assert response.context["saving"]["saved_m2"] == pytest.approx(2.5)
    assert {str(each) for each in response.context["jobs"]} == {"Skiff 3", "Dinghy 2"}


def test_one_job_alone_is_not_planned_together(page, job):
    response = page.post(reverse("plan-together"), {"jobs": [job.pk]})
    assert "Tick two jobs or more" in response.context["form"].errors["jobs"][0]


def test_printed_cut_list_has_every_strip_to_scale_and_its_pieces(page, plan):
    text = page.get(reverse("plan-print", args=[plan.pk])).content.decode()
    assert "1: Hull 1, 2000 mm along the roll and 800 mm across." in text
    assert "Offcut to keep: 2.00 m × 450 mm at 0 mm." in text


def test_drawings_count_feet_and_inches_in_a_us_shop(page, plan):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    text = page.get(plan.get_absolute_url()).content.decode()
    assert ">1 ft</text>" in text
    assert "Offcut to keep: 78.74 in × 17.72 in" in text


def test_tick_for_what_is_short_stays_while_better_plans_are_put_in(page, owner):
    kind = make_reinforcement()
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=12_000))
    plan = planned(simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_200, count=2), owner)
    shown = page.get(plan.get_absolute_url()).content.decode()
    assert '<input type="checkbox" name="accept_short" hx-preserve="true"' in shown


@pytest.mark.parametrize("state", ["confirmed", "cancelled", "replaced"])
def test_page_left_open_while_somebody_settles_the_plan_is_shown_anew(page, plan, run, state):
    confirmer = plan.made_by if state == "confirmed" else None
    CuttingPlan.objects.filter(pk=plan.pk).update(
        state=state, confirmed_by=confirmer, confirmed_at=NOON if confirmer else None
    )
    asked = page.get(reverse("plan-progress", args=[plan.pk]), {"revision": 1}, headers={"hx-request": "true"})
    assert (asked.status_code, asked.headers["HX-Refresh"]) == (200, "true")
