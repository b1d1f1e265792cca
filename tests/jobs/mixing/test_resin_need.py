"""Resin of a job against worked figures, and containers first to expire first."""

import datetime
from decimal import Decimal

import pytest

from jobs.models import Job
from jobs.queries import with_lay_up
from jobs.resin_need import misfits, resin_of_job, share_out, supplies
from shopstock.models import Layer, Shop
from tests.factories import TODAY, make_chemical, make_container, make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply


@pytest.fixture
def mat(db):
    return make_reinforcement("Mat 450", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")


@pytest.fixture
def roving(db):
    return make_reinforcement("Roving 600")


def loaded(job) -> Job:
    return with_lay_up(Job.objects.filter(pk=job.pk)).get()


def need_of(job):
    return resin_of_job(loaded(job), Shop.current())


def sandwich(owner, mat, roving, **fields):
    """12 m² of mat 450, roving 600, mat 450 in pieces that need no seam."""
    job = make_job(by=owner, **fields)
    part = make_part(job)
    for kind in (mat, roving, mat):
        make_ply(part, kind, length_mm=10_000, width_mm=1_200)
    return job


def test_mat_roving_mat_by_hand_takes_33_kg_for_12_m2(owner, mat, roving):
    need = need_of(sandwich(owner, mat, roving, waste_percent=Decimal(10)))
    assert (need.resin.net_g, need.resin.waste_g, need.resin.total_g) == pytest.approx((33_000, 3_300, 36_300))
    assert need.glass_g == pytest.approx(18_000)


def test_thickness_of_the_stack_is_the_sum_over_its_plies(owner, mat, roving):
    part = need_of(sandwich(owner, mat, roving)).parts[0]
    assert part.stack.thickness_mm == pytest.approx(2 * 1.0508 + 0.776, abs=0.001)
    assert part.stack_percent == pytest.approx(35.29, abs=0.01)


def test_pieces_and_parts_multiply_the_resin(owner, mat):
    job = make_job(by=owner)
    make_ply(make_part(job, count=3), mat, length_mm=1_000, width_mm=1_000, count=2)
    assert need_of(job).resin.net_g == pytest.approx(6 * 1_050)


def test_laps_of_seams_take_resin_too(owner, mat):
    job = make_job(by=owner)
    make_ply(make_part(job), mat, length_mm=4_000, width_mm=2_000, overlap_mm=50)
    row = need_of(job).plies[0]
    assert (row.lap_m2, row.area_m2) == pytest.approx((0.2, 8.2))


def test_process_changes_the_usual_share(owner, mat):
    job = make_job(by=owner, process="vacuum")
    make_ply(make_part(job), mat, length_mm=1_000, width_mm=1_000)
    assert need_of(job).plies[0].fraction == 0.36


def test_own_figure_of_a_ply_goes_before_the_usual_one(owner, mat):
    job = make_job(by=owner)
    make_ply(make_part(job), mat, length_mm=1_000, width_mm=1_000, fibre_mass_fraction=Decimal("0.450"))
    row = need_of(job).plies[0]
    assert (row.fraction, row.source, row.resin_g) == (0.45, "own figure", pytest.approx(550))


def test_combination_mat_goes_by_its_share_of_mat(owner):
    combination = make_reinforcement(form="combination", areal_weight_gsm=Decimal(750))
    Layer.objects.filter(reinforcement=combination).delete()
    for number, (angle, weight) in enumerate(((0, 300), (None, 450)), start=1):
        Layer.objects.create(reinforcement=combination, number=number, angle_deg=angle, areal_weight_gsm=weight)
    job = make_job(by=owner)
    make_ply(make_part(job), combination, length_mm=1_000, width_mm=1_000)
    assert need_of(job).plies[0].fraction == pytest.approx(0.352)


def test_core_has_no_usual_share_and_says_so(owner):
    core = make_reinforcement(form="core", weave="none", turning="any")
    job = make_job(by=owner)
    make_ply(make_part(job), core)
    need = need_of(job)
    assert ("data sheet" in need.plies[0].problem, need.resin.total_g) == (True, 0)


def test_gelcoat_is_area_times_film_times_density(owner):
    gelcoat = make_chemical(kind="gelcoat", density_liquid=Decimal("1.2"))
    job = make_job(by=owner, gelcoat=gelcoat, gelcoat_area_m2=10, gelcoat_film_mm=Decimal("0.5"))
    assert need_of(job).gelcoat.net_g == pytest.approx(6_000)


def test_containers_give_first_to_expire_first(owner, mat):
    resin = make_chemical()
    late = make_container(by=owner, chemical=resin, mass_g=5_000, label_date=TODAY + datetime.timedelta(days=90))
    early = make_container(by=owner, chemical=resin, mass_g=1_000, label_date=TODAY + datetime.timedelta(days=30))
    make_container(by=owner, chemical=resin, mass_g=9_000, label_date=TODAY + datetime.timedelta(days=6))
    job = make_job(by=owner, resin=resin, waste_percent=0)
    make_ply(make_part(job), mat, length_mm=2_000, width_mm=1_000)
    (supply,) = supplies(loaded(job), [], Shop.current())
    # to be cut in 7 days: the container good for 6 is left out
    assert [(given.container, given.gives_g) for given in supply.given] == [(early, 1_000), (late, 1_100)]
    assert supply.short_g == 0


def test_earlier_jobs_take_theirs_first_and_what_is_short_is_said(owner, mat):
    resin = make_chemical()
    drum = make_container(by=owner, chemical=resin, mass_g=2_000)
    jobs = [make_job(by=owner, resin=resin, waste_percent=0) for _ in range(2)]
    for job in jobs:
        make_ply(make_part(job), mat, length_mm=1_500, width_mm=1_000)
    (supply,) = supplies(loaded(jobs[1]), [loaded(jobs[0])], Shop.current())
    assert (supply.earlier_jobs_g, supply.needed_g, supply.short_g) == (1_575, 1_575, 1_150)
    assert [(given.container, given.to_others_g, given.gives_g) for given in supply.given] == [(drum, 1_575, 425)]


def test_no_container_gives_more_than_it_holds(owner):
    drums = [make_container(by=owner, mass_g=mass) for mass in (300, 500)]
    given = share_out(drums, 400, 700)
    assert [(line.to_others_g, line.gives_g) for line in given] == [(300, 0), (100, 400)]


def test_reinforcement_that_does_not_fit_or_is_not_known_to_fit_is_named(owner, mat, roving):
    type(mat).objects.filter(pk=mat.pk).update(fits_epoxy="not")
    type(roving).objects.filter(pk=roving.pk).update(fits_epoxy="fits")
    job = sandwich(owner, mat, roving, resin=make_chemical(kind="epoxy"))
    assert misfits(loaded(job)) == [(mat, "not")]
    type(roving).objects.filter(pk=roving.pk).update(fits_epoxy="ask")
    assert misfits(loaded(job)) == [(mat, "not"), (roving, "ask")]
