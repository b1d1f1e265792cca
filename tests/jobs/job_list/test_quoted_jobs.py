"""Jobs that may come: quoted with a chance, counted with it, and nothing set aside before they are taken on by name."""

import datetime

import pytest
from django.urls import reverse

from jobs.cutting.actions import confirm_plan
from jobs.job_list.actions import NoQuote, change_job, take_on
from jobs.models import Job
from jobs.plans import JobQuoted
from shopstock.models import SetAside
from tests.factories import NOON, make_reinforcement, make_roll
from tests.jobs.factories import confirmed, make_job, planned, simple_job
from tests.jobs.job_list.test_job_pages import values
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

LATER = NOON + datetime.timedelta(hours=2)


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def kind(db):
    return make_reinforcement("roving 600")


@pytest.fixture
def quoted(owner, kind) -> Job:
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind, name="Skiff 9", length_mm=4_000)
    Job.objects.filter(pk=job.pk).update(chance_percent=60)
    job.refresh_from_db()
    return job


def test_job_is_quoted_with_its_chance_from_the_form(page):
    page.post(reverse("job-add"), values(chance_percent="60"))
    assert Job.objects.get().chance_percent == 60


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("100", "leave the chance empty"),
        ("0", "surely does not come"),
        ("-5", "is no chance"),
        ("250", "is no chance"),
        ("maybe", "whole number from 1 to 99"),
    ],
)
def test_chance_that_is_none_says_what_to_do(page, typed, says):
    form = page.post(reverse("job-add"), values(chance_percent=typed)).context["form"]
    assert list(form.errors) == ["chance_percent"]
    assert says in form.errors["chance_percent"][0]
    assert Job.objects.count() == 0


def test_page_and_list_show_the_chance(page, quoted):
    shown = page.get(quoted.get_absolute_url()).content.decode()
    assert "quoted, 60 %" in shown
    assert "Taken on: make it firm" in shown
    make_job(by=quoted.made_by, name="Firm one")
    rows = page.get(reverse("jobs") + "?state=quoted").context["table"].rows
    assert [(row.record.name, row.get_cell("state")) for row in rows] == [("Skiff 9", "quoted, 60 %")]


def test_plan_of_a_quoted_job_is_shown_but_not_confirmed(page, quoted, owner):
    plan = planned(quoted, owner)
    assert "Confirm: set it aside" not in page.get(plan.get_absolute_url()).content.decode()
    answer = page.post(reverse("plan-confirm", args=[plan.pk]), {"revision": plan.revision}, follow=True)
    assert "Skiff 9 is only quoted, 60 % likely: nothing is set aside for it." in answer.content.decode()
    assert SetAside.objects.count() == 0


def test_plan_is_refused_below_the_page_too(quoted, owner):
    with pytest.raises(JobQuoted):
        confirm_plan(plan=planned(quoted, owner), by=owner, at=NOON)
    assert SetAside.objects.count() == 0


def test_job_taken_on_names_who_and_when_and_its_plan_can_be_confirmed(page, quoted, owner):
    page.post(reverse("job-taken-on", args=[quoted.pk]))
    quoted.refresh_from_db()
    assert (quoted.chance_percent, quoted.taken_on_by, quoted.taken_on_at) == (None, owner, NOON)
    confirmed(quoted, owner)
    lines = page.get(reverse("timeline") + "?what=decision").content.decode()
    assert "job taken on" in lines.lower()


def test_job_taken_on_twice_keeps_the_first_name_and_time(quoted, owner, clerk):
    take_on(job=quoted, by=owner, at=NOON)
    take_on(job=quoted, by=clerk, at=LATER)
    quoted.refresh_from_db()
    assert (quoted.taken_on_by, quoted.taken_on_at) == (owner, NOON)


def test_clerk_cannot_take_a_job_on(client, clerk, quoted):
    client.force_login(clerk)
    assert client.post(reverse("job-taken-on", args=[quoted.pk])).status_code == 403


def test_quote_does_not_become_firm_by_emptying_a_field(page, quoted):
    typed = values(name="Skiff 9", chance_percent="")
    form = page.post(reverse("job-edit", args=[quoted.pk]), typed).context["form"]
    assert "say “Taken on”" in form.errors["chance_percent"][0]


def test_old_form_does_not_make_a_quote_of_a_job_taken_on_meanwhile(quoted, owner):
    old = Job.objects.get(pk=quoted.pk)
    take_on(job=quoted, by=owner, at=NOON)
    with pytest.raises(NoQuote, match="was taken on by olga on 2026-03-02"):
        change_job(job=old)
    assert not Job.objects.get(pk=quoted.pk).is_quoted


def test_job_with_cloth_set_aside_is_no_quote(page, owner, kind):
    make_roll(by=owner, reinforcement=kind)
    job = simple_job(by=owner, reinforcement=kind, name="Skiff 1")
    confirmed(job, owner)
    form = page.post(reverse("job-edit", args=[job.pk]), values(name="Skiff 1", chance_percent="50")).context["form"]
    assert "Cancel its cutting plan first" in form.non_field_errors()[0]
