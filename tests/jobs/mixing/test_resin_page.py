from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.models import Job, Ply
from tests.factories import make_chemical, make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def job(owner):
    job = make_job(by=owner, resin=make_chemical())
    make_ply(make_part(job), make_reinforcement())
    return job


def address(job) -> str:
    return reverse("resin-of-job", args=[job.pk])


def field() -> str:
    return f"ply_{Ply.objects.get().pk}"


def test_fibre_share_is_saved_and_taken_back(page, job):
    page.post(address(job), {field(): "0.45"})
    assert Ply.objects.get().fibre_mass_fraction == Decimal("0.450")
    page.post(address(job), {field(): ""})
    assert Ply.objects.get().fibre_mass_fraction is None


@pytest.mark.parametrize("typed", ["45", "0", "much", "-0.3"])
def test_impossible_fibre_share_is_refused_at_its_field_and_kept(page, job, typed):
    response = page.post(address(job), {field(): typed})
    form = response.context["form"]
    assert (list(form.errors), form[field()].value()) == ([field()], typed)
    assert Ply.objects.get().fibre_mass_fraction is None


def test_fibre_share_of_a_cancelled_job_stays(page, job):
    Job.objects.update(state="cancelled")
    response = page.post(address(job), {field(): "0.45"})
    assert "cannot be changed" in response.content.decode()
    assert Ply.objects.get().fibre_mass_fraction is None


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("polyester", "Organic peroxide never meets promoter"),
        ("vinylester", "Organic peroxide never meets promoter"),
        ("epoxy", "never change it to change the speed"),
    ],
)
def test_cautions_are_those_of_the_resin(page, job, kind, words):
    job.resin = make_chemical(kind=kind)
    job.save()
    text = page.get(address(job)).content.decode()
    assert words in text
    assert "override this page" in text


def test_job_without_resin_is_shown_with_masses_and_asks_for_one(page, owner):
    job = make_job(by=owner)
    make_ply(make_part(job), make_reinforcement())
    text = page.get(address(job)).content.decode()
    assert "No resin is chosen." in text
    assert "1.30 kg" in text  # 2 m² of roving 600 at 0.48
