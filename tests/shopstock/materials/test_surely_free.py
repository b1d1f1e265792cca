"""What of a fabric is surely free, beside what the ledger has."""

import datetime

import pytest

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Roll
from shopstock.on_racks import in_date, surely_free_mm
from shopstock.queries import usable_rolls
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, make_sure, new_key

pytestmark = pytest.mark.django_db


def test_promises_faults_doubt_and_quarantine_are_left_out(client, clerk):
    kind = make_reinforcement("Roving 600")
    roll = make_roll(by=clerk, reinforcement=kind, length_mm=10_000, faults=[FoundFault(8_000, 8_500, "crease")])
    ledger.set_aside(promises=[ledger.Promise(roll, 1_000, "Dinghy")], by=clerk, at=NOON)
    other = make_roll(by=clerk, reinforcement=kind, length_mm=5_000)
    Roll.objects.filter(pk=other.pk).update(condition=Roll.Condition.QUARANTINED)
    doubtful_mm = roll.length_mm - roll.safe_length_mm
    assert doubtful_mm > 0
    assert surely_free_mm(kind, TODAY) == (10_000 - 1_000 - 500 - doubtful_mm) // 10 * 10
    client.force_login(clerk)
    assert "the rest is in doubt" in client.get(kind.get_absolute_url()).content.decode()


def test_counted_length_is_not_in_doubt(client, clerk):
    kind = make_reinforcement("Roving 600")
    make_sure(make_roll(by=clerk, reinforcement=kind, length_mm=10_000))
    assert surely_free_mm(kind, TODAY) == 10_000
    client.force_login(clerk)
    assert "in doubt" not in client.get(kind.get_absolute_url()).content.decode()


def test_roll_past_its_date_and_the_offcut_of_it_are_not_free(clerk):
    kind = make_reinforcement("Roving 600")
    roll, sized = (make_sure(make_roll(by=clerk, reinforcement=kind, length_mm=10_000)) for _ in range(2))
    make_sure(ledger.record_offcut(parent=sized, width_mm=600, length_mm=2_000, by=clerk, at=NOON, key=new_key()))
    ledger.set_use_by(roll=sized, use_by=TODAY)
    assert surely_free_mm(kind, TODAY) == 22_000
    assert surely_free_mm(kind, TODAY + datetime.timedelta(days=1)) == roll.length_mm


def test_cut_twice_from_a_roll_past_its_date_is_past_it_too_but_for_a_label_of_its_own(clerk):
    kind = make_reinforcement("Roving 600")
    roll = make_roll(by=clerk, reinforcement=kind, length_mm=10_000)
    family = [roll]
    for length_mm in (4_000, 2_000, 1_000):
        wish = {"width_mm": 600, "length_mm": length_mm, "by": clerk, "at": NOON, "key": new_key()}
        family.append(ledger.record_offcut(parent=family[-1], **wish))
    ledger.set_use_by(roll=roll, use_by=TODAY)
    tomorrow = TODAY + datetime.timedelta(days=1)
    assert list(in_date(usable_rolls(kind), TODAY).order_by("pk")) == family
    assert list(in_date(usable_rolls(kind), tomorrow)) == []
    ledger.set_use_by(roll=family[2], use_by=tomorrow)
    assert list(in_date(usable_rolls(kind), tomorrow).order_by("pk")) == family[2:]


def test_prepreg_out_of_its_time_is_not_free_though_its_label_is_good(clerk):
    kind = make_reinforcement("Prepreg 200", fibre="carbon", out_life_h=30, thaw_h=1)
    frozen, thawing = (make_roll(by=clerk, reinforcement=kind, length_mm=5_000) for _ in range(2))
    ledger.take_out_of_freezer(roll=thawing, by=clerk, at=NOON, key=new_key())
    found = [list(in_date(usable_rolls(kind), TODAY + datetime.timedelta(days=days))) for days in (0, 3)]
    assert [len(rolls) for rolls in found] == [2, 1]
    assert found[1] == [frozen]
