"""Use beside planned work: forecast from the ledger where there is a history, and from nothing else."""

import datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from shopstock import ledger, uses
from shopstock.models import Reinforcement, Shop
from shopstock.to_order import order_lines
from shopstock.unplanned import unplanned_use, weekly_cuts
from tests.factories import NOON, TODAY, make_chemical, make_container, make_reinforcement, make_roll, new_key

WEEKS = datetime.timedelta(weeks=1)
SERIES = (0, 0, 5, 0, 0, 0, 3, 0, 4, 0, 0, 6, 0, 0, 0, 0, 2, 0)  # maths of intermittent demand, O16


def weeks_ago(number: int) -> datetime.datetime:
    return NOON - number * WEEKS


@pytest.fixture
def cloth(clerk):
    """With cuts of SERIES metres in the weeks gone by, the oldest first."""
    kind = make_reinforcement()
    roll = make_roll(by=clerk, reinforcement=kind, at=weeks_ago(len(SERIES)))
    for number, metres in enumerate(SERIES):
        if metres:
            at = weeks_ago(len(SERIES) - number) + datetime.timedelta(days=2)
            ledger.record_cut(roll=roll, length_mm=1000 * metres, by=clerk, at=at, key=new_key())
    return kind


def resin_drawn(clerk, weeks: int, every: int) -> list:
    """A drum from which 2 kg went every so many weeks; gives the lines."""
    drum = make_container(by=clerk, mass_g=200_000, at=weeks_ago(weeks))
    times = [weeks_ago(number) + datetime.timedelta(days=1) for number in range(weeks, 0, -every)]
    return [ledger.draw(container=drum, mass_g=2_000, by=clerk, at=at, key=new_key()) for at in times]


def test_cuts_for_no_plan_are_forecast_as_the_frozen_series(cloth):
    found = unplanned_use(cloth, TODAY)
    assert found.a_week == pytest.approx(1067.13317, abs=1e-4)
    assert found.words == ("Teunter–Syntetos–Babai forecast from 5 weeks with unplanned cuts in 18 (intermittent use)")


def test_share_of_the_newest_week_and_the_time_looked_back_on_are_the_owners(cloth):
    shop = Shop.current()
    shop.forecast_smoothing_percent, shop.forecast_weeks = 30, 12
    shop.save()
    found = unplanned_use(cloth, TODAY)
    assert "4 weeks with unplanned cuts in 12" in found.words
    assert found.a_week != pytest.approx(1067.13317, abs=1)


def test_resin_drawn_outside_any_pot_is_forecast(clerk):
    lines = resin_drawn(clerk, weeks=12, every=2)
    found = unplanned_use(lines[0].container.chemical, TODAY)
    assert found.words.endswith("6 weeks with draws outside any pot in 12 (intermittent use)")
    # used in every other week from the first on; chance from 1, smoothed by a tenth each week, times 2 kg
    chance = 1.0
    for number in range(1, 12):
        chance += 0.1 * ((number % 2 == 0) - chance)
    assert found.a_week == pytest.approx(2_000 * chance)


def test_resin_drawn_for_pots_is_the_schedules_and_not_forecast(clerk, monkeypatch):
    lines = resin_drawn(clerk, weeks=12, every=2)

    class Jobs:
        @staticmethod
        def uses_of_draws(numbers):
            return {number: [uses.Use("Hull 7", "", (), "/")] for number in numbers}

    monkeypatch.setattr(uses, "_sources", [Jobs])
    found = unplanned_use(lines[0].container.chemical, TODAY)
    assert (found.a_week, found.words) == (
        None, "No forecast of repairs: 0 weeks with draws outside any pot in 12 is too little to say.",
    )  # fmt: skip


@pytest.mark.parametrize("make", [make_reinforcement, make_chemical])
def test_material_without_history_has_no_forecast(db, make):
    found = unplanned_use(make(), TODAY)
    assert (found.a_week, found.a_day) == (None, 0.0)
    assert found.words.startswith("No forecast of repairs: 0 weeks")


def test_forecast_over_the_lead_time_is_ordered_for_with_its_reason(cloth, planned):
    Reinforcement.objects.update(lead_time_days=14, minimum_mm=29_000)
    (line,) = order_lines(TODAY)  # 30 m are free: enough for the minimum, not for two weeks of repairs on top
    assert line.packs == 1
    assert line.reasons == (
        "Keep at least 29.00 m; free now 30.00 m",
        "Repairs until an order comes, 14 days: 2.134 m. Teunter–Syntetos–Babai forecast from 5 weeks with unplanned "
        "cuts in 18 (intermittent use)",
    )


def test_without_a_lead_time_or_a_history_nothing_is_ordered_for_repairs(cloth, planned, clerk):
    Reinforcement.objects.update(minimum_mm=29_000)
    make_roll(by=clerk, reinforcement=make_reinforcement(lead_time_days=300), length_mm=1_000)
    assert order_lines(TODAY) == []


def test_weeks_begin_at_the_shops_own_midnight_across_the_night_the_clocks_change(clerk):
    """Weeks back from Monday 2 November 2026; in Oslo the clocks went back on 25 October."""
    oslo, on = ZoneInfo("Europe/Oslo"), datetime.date(2026, 11, 2)
    kind = make_reinforcement()
    roll = make_roll(by=clerk, reinforcement=kind, at=datetime.datetime(2026, 9, 7, 12, tzinfo=oslo))
    for millimetres, day, hour in ((1, 18, 23), (20, 19, 0), (300, 25, 23), (4000, 26, 0)):
        at = datetime.datetime(2026, 10, day, hour, 30, tzinfo=oslo)
        ledger.record_cut(roll=roll, length_mm=millimetres, by=clerk, at=at, key=new_key())
    with timezone.override(oslo):
        weeks = weekly_cuts([kind.pk], on, Shop.current())[kind.pk]
    assert weeks == [0, 0, 0, 0, 0, 1, 320, 4000]
