"""A job of 2 m² of mat in polyester with its catalyst, as a shop that copied its data sheets has it."""

import datetime
from decimal import Decimal

import pytest

from shopstock.models import DoseBand, PotLife
from tests.factories import TODAY, make_chemical, make_container, make_place, make_reinforcement
from tests.jobs.factories import make_job, make_part, make_ply
from tests.shopstock.clock import noon

__all__ = ["noon"]


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def resin(db):
    made = make_chemical("Laminating resin")
    DoseBand.objects.create(chemical=made, from_c=15, below_c=25, min_percent=1, max_percent=Decimal("2.5"))
    PotLife.objects.create(chemical=made, temperature_c=20, percent=2, minutes=18)
    PotLife.objects.create(chemical=made, temperature_c=20, percent=1, minutes=30)
    PotLife.objects.create(chemical=made, temperature_c=15, percent=1, minutes=45)
    PotLife.objects.create(chemical=made, temperature_c=15, percent=2, minutes=27)
    return made


@pytest.fixture
def catalyst(db):
    return make_chemical("Catalyst", kind="peroxide", density_liquid=Decimal("1.15"))


@pytest.fixture
def drum(clerk, resin):
    return make_container(by=clerk, chemical=resin, batch="PR-1", place=make_place("Resin room"))


@pytest.fixture
def can(clerk, catalyst):
    return make_container(by=clerk, chemical=catalyst, mass_g=1_000, place=make_place("Catalyst cabinet"))


@pytest.fixture
def mat(db):
    return make_reinforcement("Mat 450", form="mat", weave="none", areal_weight_gsm=Decimal(450), turning="any")


@pytest.fixture
def job(owner, resin, mat):
    """Two plies of 1 m²: 900 g of mat take 2100 g of resin, no waste."""
    job = make_job(by=owner, name="Dory", resin=resin, waste_percent=0)
    part = make_part(job)
    for _ in range(2):
        make_ply(part, mat, length_mm=1_000, width_mm=1_000)
    return job
