"""Jobs that compete for cloth: who can be cut, what each lacks, and nothing taken from one for another unsaid."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.cutting.actions import TakesFromOthers
from jobs.models import Job, Precedence
from jobs.precedences import NotDecided, let_before, take_back
from jobs.standing import standings
from shopstock import demand
from shopstock.models import SetAside
from tests.factories import NOON, TODAY, make_chemical, make_reinforcement, make_roll, make_sure
from tests.jobs.factories import confirmed, make_job, make_part, make_ply, planned, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

PLY = {"length_mm": 10_000, "width_mm": 1_200, "may_turn": False}


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def kind(db):
    return make_reinforcement("roving 600")


def boat(owner, kind, name: str, number: int) -> Job:
    return simple_job(by=owner, reinforcement=kind, name=name, cut_on=day(number), **PLY)


@pytest.fixture
def boats(owner, kind) -> list[Job]:
    """Three that want 10 m each, and 25 m on the rack."""
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=25_000))
    return [boat(owner, kind, name, number) for name, number in (("Late", 9), ("Early", 3), ("Middle", 6))]


def told() -> list[tuple]:
    return [
        (row.job.name, [(str(lack.material), lack.amount) for lack in row.lacks], [job.name for job in row.could_wait])
        for row in standings(TODAY)
    ]


def test_jobs_get_cloth_in_the_order_of_their_days(boats):
    assert told() == [("Early", [], []), ("Middle", [], []), ("Late", [("roving 600", 10_000)], ["Early", "Middle"])]


def test_decision_by_name_lets_a_job_go_before_another(boats, owner):
    late, _, middle = boats
    let_before(first=late, then=[middle], reason="the customer waits", by=owner, at=NOON)
    assert [(name, lacks) for name, lacks, _ in told()] == [
        ("Early", []), ("Late", []), ("Middle", [("roving 600", 10_000)]),
    ]  # fmt: skip


def test_decision_taken_back_gives_the_order_of_days_again_and_stays_on_record(boats, owner, clerk):
    late, _, middle = boats
    (decision,) = let_before(first=late, then=[middle], reason="the customer waits", by=owner, at=NOON)
    for person in (owner, clerk):  # twice is once
        take_back(decision=decision, by=person, at=NOON)
    assert [name for name, _, _ in told()] == ["Early", "Middle", "Late"]
    decision.refresh_from_db()
    assert (decision.reason, decision.by, decision.taken_back_by) == ("the customer waits", owner, owner)


def test_same_decision_twice_is_one_and_the_first_reason_stands(boats, owner):
    for reason in ("first", "second"):
        let_before(first=boats[0], then=[boats[2]], reason=reason, by=owner, at=NOON)
    assert list(Precedence.objects.values_list("reason", flat=True)) == ["first"]


def test_decisions_that_wait_in_a_circle_are_refused(boats, owner):
    late, early, middle = boats
    let_before(first=late, then=[middle], reason="a", by=owner, at=NOON)
    let_before(first=middle, then=[early], reason="b", by=owner, at=NOON)
    with pytest.raises(NotDecided, match="wait in a circle"):
        let_before(first=early, then=[late], reason="c", by=owner, at=NOON)
    assert (Precedence.objects.count(), len(told())) == (2, 3)


@pytest.mark.parametrize("reason", ["", "   "])
def test_decision_without_a_reason_is_none(boats, owner, reason):
    with pytest.raises(NotDecided, match="Say why"):
        let_before(first=boats[0], then=[boats[2]], reason=reason, by=owner, at=NOON)


def test_cloth_set_aside_for_another_job_is_named_and_not_up_for_a_decision(boats, owner):
    for job in boats[1:]:
        confirmed(job, owner)
    row = next(row for row in standings(TODAY) if row.job.name == "Late")
    assert ([job.name for job in row.could_wait], [job.name for job in row.holds]) == ([], ["Early", "Middle"])


def test_resin_that_a_job_lacks_is_told_too(owner):
    mat = make_reinforcement(form="mat", weave="none", turning="any")
    make_sure(make_roll(by=owner, reinforcement=mat))
    job = make_job(by=owner, name="Tank", resin=make_chemical("resin"))
    make_ply(make_part(job), mat, direction="any")
    (row,) = standings(TODAY)
    assert [(str(lack.material), lack.is_cloth) for lack in row.lacks] == [("resin", False)]


def test_plan_that_takes_from_a_job_served_before_is_refused_and_nothing_set_aside(boats, owner):
    confirmed(boats[1], owner)
    with pytest.raises(TakesFromOthers) as refusal:
        confirmed(boats[0], owner)
    assert [job.name for job in refusal.value.jobs] == ["Middle"]
    assert set(SetAside.objects.values_list("purpose", flat=True)) == {"Early"}


def test_plan_with_the_reason_takes_it_and_the_decision_is_kept(boats, owner):
    confirmed(boats[1], owner)
    confirmed(boats[0], owner, why_first="mould is free only now")
    decision = Precedence.objects.get()
    assert (str(decision), decision.reason, decision.by) == ("Late before Middle", "mould is free only now", owner)


def test_plan_in_the_order_of_days_or_of_cloth_that_is_enough_asks_nothing(boats, owner, kind):
    confirmed(boats[1], owner)
    make_sure(make_roll(by=owner, reinforcement=kind, length_mm=25_000))
    confirmed(boats[0], owner)
    assert Precedence.objects.count() == 0


def test_plan_after_the_decision_asks_nothing_again(boats, owner):
    let_before(first=boats[0], then=[boats[1], boats[2]], reason="agreed", by=owner, at=NOON)
    confirmed(boats[0], owner)
    assert Precedence.objects.count() == 2


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def test_page_of_the_plan_asks_why_and_takes_the_answer(page, boats, owner):
    plan = planned(boats[0], owner)
    confirmed(boats[1], owner)
    plan = planned(boats[0], owner)
    where = reverse("plan-confirm", args=[plan.pk])
    asked = page.post(where, {"revision": plan.revision})
    assert "This takes cloth that is needed for Middle, served before it." in asked.content.decode()
    page.post(where, {"revision": plan.revision, "why_first": "sold already"})
    plan.refresh_from_db()
    assert (plan.state, Precedence.objects.get().reason) == ("confirmed", "sold already")


def test_decision_is_made_taken_back_and_traced_on_the_pages(page, boats):
    late, _, middle = boats
    page.post(reverse("job-before", args=[late.pk]), {"then": middle.pk, "reason": "the customer waits"})
    shown = page.get(reverse("competing")).content.decode()
    assert "the customer waits" in shown
    assert "1 of 3 jobs lacks something." in shown
    page.post(reverse("precedence-take-back", args=[Precedence.objects.get().pk]))
    lines = page.get(reverse("timeline") + "?what=decision").content.decode().lower()
    assert "before middle: the customer waits" in lines
    assert "goes before another no more" in lines
    assert "the customer waits" in page.get(late.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("typed", "field"),
    [({"reason": ""}, "reason"), ({"then": ""}, "then"), ({"then": "999"}, "then"), ({"reason": "x" * 301}, "reason")],
)
def test_decision_with_something_wrong_says_so_and_decides_nothing(page, boats, typed, field):
    late, _, middle = boats
    answer = page.post(reverse("job-before", args=[late.pk]), {"then": middle.pk, "reason": "why"} | typed)
    form = next(form for row, form in answer.context["rows"] if row.job == late)
    assert list(form.errors) == [field]
    assert Precedence.objects.count() == 0


@pytest.mark.parametrize("role", ["clerk", "laminator"])
def test_others_look_but_do_not_decide(client, role, request, boats):
    client.force_login(request.getfixturevalue(role))
    shown = client.get(reverse("competing"))
    assert (shown.status_code, "Decide" in shown.content.decode()) == (200, False)
    assert client.post(reverse("job-before", args=[boats[0].pk]), {}).status_code == 403


def test_page_takes_as_many_queries_for_six_jobs_as_for_three(page, boats, owner, kind, django_assert_max_num_queries):
    page.get(reverse("competing"))
    with CaptureQueriesContext(connection) as three:
        page.get(reverse("competing"))
    before = len(three)
    for number in range(3):
        boat(owner, kind, f"More {number}", 20 + number)
    page.get(reverse("competing"))
    with django_assert_max_num_queries(before + 3):  # a choice of jobs for each that lacks
        page.get(reverse("competing"))


def test_first_day_that_fails_is_told_whoever_is_served_first(boats, owner):
    let_before(first=boats[0], then=boats[1:], reason="agreed", by=owner, at=NOON)
    roll = make_sure(make_roll(by=owner, reinforcement=boats[0].parts.get().plies.get().reinforcement, length_mm=10))
    type(roll).objects.exclude(pk=roll.pk).update(condition="quarantined", condition_reason="wet")
    (short,) = demand.cloth_shortages(TODAY)
    assert (short.needed_on, short.for_jobs) == (day(3), ("Early", "Middle", "Late"))


def test_job_with_a_ply_that_no_roll_is_wide_enough_for_cannot_be_cut(owner, kind):
    make_sure(make_roll(by=owner, reinforcement=kind))
    simple_job(by=owner, reinforcement=kind, name="Deck", length_mm=5_000, width_mm=3_000, count=2, may_seam=False)
    (row,) = standings(TODAY)
    assert ([lack.pieces for lack in row.lacks], row.can_be_cut) == ([2], False)


def test_job_that_only_a_better_plan_than_first_come_can_serve_lacks_nothing(owner, kind):
    # ends of 10.5 m and 14.5 m: 2 m come off the short one by first fit, and off the long one in a plan of both
    for length_mm in (10_500, 14_500):
        make_sure(make_roll(by=owner, reinforcement=kind, length_mm=length_mm))
    early = simple_job(by=owner, reinforcement=kind, name="Early", cut_on=day(3), **PLY | {"length_mm": 2_000})
    late = simple_job(by=owner, reinforcement=kind, name="Late", cut_on=day(9), **PLY)
    make_ply(late.parts.get(), kind, **PLY | {"length_mm": 12_000})
    assert (demand.cloth_shortages(TODAY), told()) == ([], [("Early", [], []), ("Late", [], [])])
    early.delete()
    simple_job(by=owner, reinforcement=kind, name="Early", cut_on=day(3), **PLY | {"length_mm": 3_000})
    assert told() == [("Early", [], []), ("Late", [("roving 600", 10_000)], ["Early"])]


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"state": Job.State.CANCELLED}, "Late is cancelled: it cannot be changed. Write a new job."),
        ({"chance_percent": 40}, "Late is only quoted, 40 % likely"),
    ],
)
def test_decision_for_a_job_that_was_cancelled_or_became_a_quote_meanwhile_says_so(page, boats, changed, says):
    late, _, middle = boats
    Job.objects.filter(pk=late.pk).update(**changed)
    answer = page.post(reverse("job-before", args=[late.pk]), {"then": middle.pk, "reason": "why"}, follow=True)
    assert (says in answer.content.decode(), Precedence.objects.count()) == (True, 0)


def test_decision_about_a_job_that_lacks_nothing_any_more_says_what_is_wrong_with_it(page, boats, owner, kind):
    _, early, _ = boats
    answer = page.post(reverse("job-before", args=[early.pk]), {"then": "", "reason": "why"})
    assert "Choose the job that waits." in answer.content.decode()
