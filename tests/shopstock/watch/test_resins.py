import pytest

from shopstock import ledger
from shopstock.models import Shop
from shopstock.watch import KINDS, Severity, WatchItem, watch_list
from tests.factories import NOON, TODAY, make_chemical, make_container, new_key
from tests.shopstock.demand_source import day


def found() -> list[WatchItem]:
    return [item for item in watch_list(TODAY) if item.kind.startswith("resin")]


@pytest.fixture
def resin(planned):
    return make_chemical("laminating resin")


@pytest.fixture
def drum(clerk, resin):
    """20 kg of it, to be used within so many days."""
    return lambda days, **more: make_container(by=clerk, chemical=resin, label_date=day(days), **more)


@pytest.mark.parametrize(
    ("days", "kinds"),
    [
        (-1, ["resin_past"]),
        (0, ["resin_near"]),
        (30, ["resin_near"]),
        (31, ["resin_unused"]),
        (90, ["resin_unused"]),
        (91, []),
    ],
)
def test_resin_is_warned_of_by_how_near_its_end_is(drum, days, kinds):
    drum(days)
    assert [item.kind for item in found()] == kinds


def test_warning_window_is_the_shops(drum):
    drum(30)
    Shop.objects.update_or_create(pk=1, defaults={"resin_warning_days": 5})
    assert found() == []


def test_resin_past_its_date_is_urgent_and_names_the_jobs_that_counted_on_it(drum, planned, resin):
    dead = drum(-3)
    planned.needs_resin(resin, 5_000, 10)
    (item,) = found()
    assert (item.severity, item.page, item.page_arg, item.since, item.at_risk) == (
        Severity.URGENT, "container", dead.code, day(-3), "Hull 7 must take other stock",
    )  # fmt: skip
    assert item.cause == "Ended on 2026-02-27, 3 days ago."


def test_resin_that_planned_jobs_leave_to_die_says_how_much_by_when(drum, planned, resin):
    drum(12)
    planned.needs_resin(resin, 7_600, 10)
    (item,) = found()
    assert item.cause == "Ends on 2026-03-14, in 12 days. Planned jobs take 7.60 kg (Hull 7)."
    assert (item.to_do, item.at_risk) == (
        "Use 12.40 kg by 2026-03-14 or lose it.",
        "12.40 kg of laminating resin",
    )


def test_resin_near_its_date_that_planned_jobs_use_up_loses_nothing(drum, planned, resin):
    drum(12)
    planned.needs_resin(resin, 20_000, 10)
    (item,) = found()
    assert (item.kind, item.to_do, item.at_risk) == ("resin_near", "Draw from it first: Hull 7.", "")


def test_resin_beyond_the_window_that_planned_jobs_use_up_is_no_warning(drum, planned, resin):
    drum(60)
    planned.needs_resin(resin, 20_000, 50)
    assert found() == []


def test_resin_needed_only_after_it_dies_is_lost(drum, planned, resin):
    drum(60)
    planned.needs_resin(resin, 20_000, 61)
    assert [item.to_do for item in found()] == ["Use 20.00 kg by 2026-05-01 or lose it. Hull 7 could take it now."]


def test_needs_are_served_from_the_drum_that_ends_first(drum, planned, resin):
    first, second = drum(40), drum(50)
    planned.needs_resin(resin, 25_000, 30)
    assert [(item.page_arg, item.to_do) for item in found()] == [
        (second.code, "Use 15.00 kg by 2026-04-21 or lose it.")
    ]
    assert first.mass_g == 20_000


def test_catalyst_beyond_the_window_is_no_warning_because_jobs_do_not_plan_it(planned, clerk):
    make_container(by=clerk, chemical=make_chemical(kind="peroxide"), label_date=day(60))
    assert found() == []


def test_opening_can_bring_resin_into_its_warning_window(planned, clerk):
    drum = make_container(by=clerk, chemical=make_chemical(open_life_days=10), label_date=day(200))
    assert found() == []
    ledger.open_container(container=drum, on=TODAY)
    (item,) = found()
    assert (item.kind, item.due) == ("resin_near", day(10))
    assert item.cause == (
        "Ends on 2026-03-12, in 10 days: 10 days after it was opened on 2026-03-02 (label: 2026-09-18)."
    )


def test_container_that_was_disposed_of_is_no_warning(drum, clerk):
    dead = drum(-3)
    ledger.dispose(container=dead, by=clerk, at=NOON, key=new_key(), reason="waste note 1")
    assert found() == []


def test_most_urgent_comes_first_then_the_one_that_ends_first(drum):
    for days in (60, 20, -1, 10):
        drum(days)
    assert [item.due for item in found()] == [day(-1), day(10), day(20), day(60)]
    assert {item.kind for item in found()} <= set(KINDS)
