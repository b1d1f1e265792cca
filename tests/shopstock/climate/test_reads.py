"""What the climate of a place is judged by is read once a product, however much of it lies there."""

import datetime

import pytest

from shopstock.calc.climate import Reading
from shopstock.climate_reads import last_readings, products_in
from shopstock.models import ClimateReading, Roll
from shopstock.models.roll import STILL_OPEN
from tests.factories import NOON, TODAY, make_chemical, make_container, make_place, make_reinforcement, make_roll

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


def test_product_counts_once_where_it_lies_and_not_where_it_has_gone(clerk):
    rack, other, resin = make_place("Rack"), make_place("Other rack"), make_chemical()
    mat, roving = make_reinforcement(), make_reinforcement(name="Roving")
    rolls = [make_roll(by=clerk, place=rack, reinforcement=cloth) for cloth in (mat, mat, roving)]
    make_roll(by=clerk, place=other, reinforcement=mat)
    make_container(by=clerk, place=rack, chemical=resin)
    assert products_in([rack.pk]) == {rack.pk: [mat, roving, resin]}
    assert Roll.objects.filter(pk=rolls[2].pk, closed_on=STILL_OPEN).update(closed_on=TODAY) == 1
    assert products_in([rack.pk, other.pk]) == {rack.pk: [mat, resin], other.pk: [mat]}


def test_last_reading_is_the_newest_of_each_place_in_the_week(django_assert_num_queries):
    rack, other, silent = make_place("Rack"), make_place("Other rack"), make_place("Silent")
    for place, hours, warm in ((rack, 2, 19), (rack, 1, 20), (rack, -1, 30), (other, 167, 21), (silent, 169, 22)):
        ClimateReading.objects.create(place=place, at=NOON - hours * HOUR, temperature_c=warm)
    with django_assert_num_queries(1):
        found = last_readings(NOON)
    assert found == {rack.pk: Reading(NOON - HOUR, 20.0), other.pk: Reading(NOON - 167 * HOUR, 21.0)}
