import pytest
from django.db import DatabaseError, transaction

from shopstock import ledger
from shopstock.models import ContainerMovement, Movement
from tests.factories import NOON, make_container, make_roll, new_key


@pytest.fixture
def line(clerk) -> Movement:
    return make_roll(by=clerk).movements.get()


def refused(change) -> None:
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        change()


def test_update_of_a_line_is_refused_by_the_database(line):
    refused(lambda: Movement.objects.filter(pk=line.pk).update(delta_mm=1))


def test_delete_of_a_line_is_refused_by_the_database(line):
    refused(lambda: Movement.objects.filter(pk=line.pk).delete())


def test_save_of_a_changed_line_is_refused_by_the_database(line):
    line.reason = "tidied"
    refused(line.save)


def test_lines_of_masses_are_append_only_too(clerk):
    container = make_container(by=clerk)
    ledger.draw(container=container, mass_g=500, by=clerk, at=NOON, key=new_key())
    refused(lambda: ContainerMovement.objects.update(delta_g=0))
    refused(lambda: ContainerMovement.objects.all().delete())
