"""Days are those of the shop's own clock, not of Greenwich."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from shopstock import ledger
from shopstock.models.roll import STILL_OPEN
from shopstock.prepreg import last_day
from shopstock.storage_notes import storage_notes
from tests.factories import NOON, TODAY, make_container, make_reinforcement, make_roll, new_key


@pytest.fixture
def evening():
    """Ten in the evening of 2 March west of Greenwich, where it is 3 March already."""
    with timezone.override(ZoneInfo("America/Halifax")):
        yield datetime.datetime(2026, 3, 3, 2, 0, tzinfo=datetime.UTC)


@pytest.fixture
def morning():
    """Five in the morning of 3 March east of Greenwich, where it is still 2 March."""
    with timezone.override(ZoneInfo("Asia/Tokyo")):
        yield datetime.datetime(2026, 3, 2, 20, 0, tzinfo=datetime.UTC)


def test_roll_and_container_come_in_on_the_day_of_the_shop(clerk, evening):
    kind = make_reinforcement()
    roll = ledger.record_receipt(
        reinforcement=kind, length_mm=50_000, width_mm=1_250, by=clerk, at=evening, key=new_key()
    )
    drum = make_container(by=clerk, at=evening)
    assert (roll.received_on, drum.received_on) == (TODAY, TODAY)


def test_offcut_is_kept_since_the_day_of_the_shop(clerk, evening):
    roll = make_roll(by=clerk)
    ledger.record_cut(roll=roll, length_mm=2_000, by=clerk, at=evening, key=new_key())
    offcut = ledger.record_offcut(parent=roll, width_mm=400, length_mm=2_000, by=clerk, at=evening, key=new_key())
    assert offcut.received_on == TODAY


def test_container_may_be_drawn_from_until_the_evening_of_its_last_day(clerk, evening):
    drum = make_container(by=clerk, label_date=TODAY)
    ledger.draw(container=drum, mass_g=1_000, by=clerk, at=evening, key=new_key())
    drum.refresh_from_db()
    assert (drum.mass_g, drum.opened_on) == (19_000, TODAY)


def test_container_is_past_its_date_on_the_morning_after_it(clerk, morning):
    drum = make_container(by=clerk, label_date=TODAY)
    with pytest.raises(ledger.ContainerError, match="went past its date"):
        ledger.draw(container=drum, mass_g=1_000, by=clerk, at=morning, key=new_key())


def test_what_is_used_up_is_closed_on_the_day_of_the_shop(clerk, evening):
    roll, drum = make_roll(by=clerk), make_container(by=clerk)
    assert roll.closed_on == STILL_OPEN
    ledger.record_cut(roll=roll, length_mm=50_000, by=clerk, at=evening, key=new_key())
    ledger.draw(container=drum, mass_g=20_000, by=clerk, at=evening, key=new_key())
    roll.refresh_from_db()
    drum.refresh_from_db()
    assert (roll.closed_on, drum.closed_on) == (TODAY, TODAY)


def test_prepreg_ends_on_the_day_of_the_shop_on_which_its_time_is_up(clerk, evening):
    prepreg = make_reinforcement(out_life_h=15)
    roll = make_roll(by=clerk, reinforcement=prepreg)
    ledger.take_out_of_freezer(roll=roll, by=clerk, at=NOON, key=new_key())
    # out since eight in the morning of the shop, it ends at eleven in the evening
    assert last_day(roll, evening) == TODAY
    assert storage_notes(roll, evening).urgent == ()
