import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Job
from shopstock import ledger
from tests.factories import NOON, TODAY, make_chemical, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, make_job, make_part, make_ply, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def values(**changed) -> dict:
    return {
        "name": "Dinghy 14",
        "cut_on": "2026-05-04",
        "process": "hand",
        "resin": "",
        "waste_percent": "15",
        "lot_rule": "any",
        "max_resin_ratio": "",
        "gelcoat": "",
        "gelcoat_area_m2": "0",
        "gelcoat_film_mm": "0.5",
        "notes": "",
    } | changed


def test_new_job_is_a_draft_by_who_wrote_it(page, owner):
    page.post(reverse("job-add"), values())
    job = Job.objects.get()
    assert (job.name, job.cut_on, job.state, job.made_by) == ("Dinghy 14", datetime.date(2026, 5, 4), "draft", owner)


def test_limit_of_resin_to_reinforcement_is_set_on_the_job_and_told_beside_the_pots(page):
    page.post(reverse("job-add"), values(max_resin_ratio="2.33"))
    job = Job.objects.get()
    assert "at most 2.33 : 1 by mass" in page.get(job.get_absolute_url()).content.decode()
    assert "Limit: 2.33 : 1." in page.get(reverse("mix-job", args=[job.pk, "resin"])).content.decode()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": ""}, "name"),
        ({"cut_on": "4 May"}, "cut_on"),
        ({"cut_on": str(TODAY - datetime.timedelta(days=1))}, "cut_on"),
        ({"cut_on": "2062-05-04"}, "cut_on"),
        ({"process": "spray"}, "process"),
        ({"waste_percent": "120"}, "waste_percent"),
        ({"max_resin_ratio": "70"}, "max_resin_ratio"),
        ({"max_resin_ratio": "0"}, "max_resin_ratio"),
        ({"gelcoat_film_mm": "5"}, "gelcoat_film_mm"),
        ({"gelcoat_area_m2": "-1"}, "gelcoat_area_m2"),
        ({"gelcoat_area_m2": "4"}, "gelcoat"),
        ({"resin": "999"}, "resin"),
    ],
)
def test_job_with_a_wrong_value_says_so_at_the_field_and_keeps_what_was_typed(page, changed, field):
    response = page.post(reverse("job-add"), values(**changed))
    assert list(response.context["form"].errors) == [field]
    assert (Job.objects.count(), response.context["form"]["notes"].value()) == (0, "")
    name, typed = next(iter(changed.items()))
    assert response.context["form"][name].value() == typed


def test_two_jobs_cannot_have_one_name(page, owner):
    make_job(by=owner, name="Dinghy 14")
    response = page.post(reverse("job-add"), values())
    message = "There is already a job called that. Open that one, or choose another name."
    assert response.context["form"].errors == {"name": [message]}


def test_job_whose_day_has_gone_by_can_still_be_edited(page, owner):
    job = make_job(by=owner, name="Late", cut_on=TODAY - datetime.timedelta(days=3))
    page.post(reverse("job-edit", args=[job.pk]), values(name="Late", cut_on=str(job.cut_on), notes="delayed"))
    job.refresh_from_db()
    assert job.notes == "delayed"


def test_gelcoat_is_not_offered_as_laminating_resin(page):
    gelcoat, resin = make_chemical(kind="gelcoat"), make_chemical()
    form = page.get(reverse("job-add")).context["form"]
    assert (list(form.fields["resin"].queryset), list(form.fields["gelcoat"].queryset)) == ([resin], [gelcoat])


def test_editing_keeps_the_state_that_plans_gave(page, owner):
    job = make_job(by=owner, name="Dinghy 14", state=Job.State.READY)
    page.post(reverse("job-edit", args=[job.pk]), values(notes="blue"))
    job.refresh_from_db()
    assert (job.notes, job.state) == ("blue", "ready")


def test_cancelled_job_cannot_be_edited(page, owner):
    job = make_job(by=owner, name="Dinghy 14", state=Job.State.CANCELLED)
    response = page.post(reverse("job-edit", args=[job.pk]), values(notes="blue"))
    assert "cannot be changed" in response.context["form"].non_field_errors()[0]


def test_list_shows_planned_work_first_and_all_when_asked(page, owner):
    make_job(by=owner, name="Later", cut_on=TODAY + datetime.timedelta(days=9))
    make_job(by=owner, name="Sooner", cut_on=TODAY)
    make_job(by=owner, name="Gone", state=Job.State.CANCELLED)

    def names(query):
        return [row.record.name for row in page.get(reverse("jobs") + query).context["table"].rows]

    assert names("") == ["Sooner", "Later"]
    assert sorted(names("?state=&words=")) == ["Gone", "Later", "Sooner"]
    assert names("?words=late") == ["Later"]


def test_list_takes_as_many_queries_for_three_jobs_as_for_one(page, owner, django_assert_num_queries):
    make_job(by=owner)
    page.get(reverse("jobs"))
    with CaptureQueriesContext(connection) as one:
        page.get(reverse("jobs"))
    for _ in range(2):
        make_job(by=owner)
    with django_assert_num_queries(len(one)):
        page.get(reverse("jobs"))


def test_list_goes_out_as_csv_with_formulas_made_harmless(page, owner):
    make_job(by=owner, name="=1+1")
    assert "'=1+1" in page.get(reverse("jobs") + "?_export=csv").content.decode()


def test_page_of_a_job_takes_as_many_queries_for_three_plies_as_for_one(page, owner, django_assert_num_queries):
    kind = make_reinforcement()
    job = simple_job(by=owner, reinforcement=kind)
    page.get(job.get_absolute_url())
    with CaptureQueriesContext(connection) as one:
        page.get(job.get_absolute_url())
    for _ in range(2):
        make_ply(job.parts.get(), kind)
    with django_assert_num_queries(len(one)):
        page.get(job.get_absolute_url())


def test_job_whose_promise_was_given_back_asks_to_plan_again(page, owner):
    kind = make_reinforcement()
    roll = make_roll(by=owner, reinforcement=kind, length_mm=5_000)
    job = simple_job(by=owner, reinforcement=kind)
    confirmed(job, owner)
    assert "Plan again." not in page.get(job.get_absolute_url()).content.decode()
    ledger.record_recount(roll=roll, length_mm=900, by=owner, at=NOON, key=new_key(), reason="tape")
    text = page.get(job.get_absolute_url()).content.decode()
    assert "Plan again." in text
    assert "1 of 1 strip had to be given back" in text


def test_job_is_done_when_its_page_is_seen_after_the_last_cut(page, owner, laminator):
    kind = make_reinforcement()
    roll = make_roll(by=owner, reinforcement=kind, length_mm=5_000)
    job = simple_job(by=owner, reinforcement=kind)
    strip = confirmed(job, owner).strips.get()
    ledger.record_cut(
        roll=roll, length_mm=strip.length_mm, by=laminator, at=NOON, key=new_key(), set_aside=strip.set_aside
    )
    page.get(job.get_absolute_url())
    job.refresh_from_db()
    assert job.state == Job.State.DONE


def test_job_page_warns_of_a_reinforcement_that_does_not_fit_the_resin(page, owner):
    kind = make_reinforcement("Carbon twill", fits_polyester="not")
    job = make_job(by=owner, resin=make_chemical())
    make_ply(make_part(job), kind)
    assert "Carbon twill does not fit polyester resin." in page.get(job.get_absolute_url()).content.decode()
