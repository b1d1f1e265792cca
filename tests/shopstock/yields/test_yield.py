"""Where the cloth went: every row adds up, and all of it together is what the ledger says."""

import csv
import datetime
from contextlib import suppress
from io import StringIO

import pytest
from django.db.models import F, Sum
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shopstock import ledger
from shopstock.models import Movement, Roll
from shopstock.yields.accounts import JOB, MONTH, REINFORCEMENT, entries, rows_by, scrap_by_cause, total
from tests.factories import NOON, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, simple_job
from tests.shopstock.ledger.test_rules_hold import Shop, wishes

M2 = 1_000_000


def who(person, at=NOON) -> dict:
    return {"by": person, "at": at, "key": new_key()}


@pytest.fixture
def kind():
    return make_reinforcement("roving 600", width_mm=1_000)


@pytest.fixture
def roll(owner, kind) -> Roll:
    return make_roll(by=owner, reinforcement=kind, length_mm=20_000)


def flows(**names) -> dict:
    return {name: area for name, area in names.items() if area}


def of(row) -> dict:
    names = ("bought", "parts", "trimmed", "kept", "scrapped", "lost", "noted_elsewhere", "stock_change", "offcuts")
    return flows(**{name: getattr(row, name) for name in names})


def test_cut_without_a_plan_is_parts_less_what_was_kept(owner, roll):
    line = ledger.record_cut(roll=roll, length_mm=2_000, reason="patch", **who(owner))
    ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_000, cut=line, **who(owner))
    kept = {"kept": 400_000, "offcuts": 400_000}
    assert of(total(list(entries()))) == {"bought": 20 * M2, "parts": 1_600_000, "stock_change": 18_400_000} | kept
    patch = next(row for row in rows_by(list(entries()), JOB) if row.name == "patch")
    assert of(patch) == {"parts": 1_600_000, "stock_change": -1_600_000} | kept


def test_offcut_used_later_counts_for_the_job_it_goes_into(owner, roll):
    line = ledger.record_cut(roll=roll, length_mm=2_000, reason="patch", **who(owner))
    piece = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_000, cut=line, **who(owner))
    ledger.record_cut(roll=piece, length_mm=600, reason="trim", **who(owner))
    found = list(entries())
    trim = next(row for row in rows_by(found, JOB) if row.name == "trim")
    assert of(trim) == {"parts": 240_000, "stock_change": -240_000, "offcuts": -240_000}
    assert total(found).offcuts == 160_000


def test_offcut_taken_back_was_never_kept(owner, roll):
    line = ledger.record_cut(roll=roll, length_mm=2_000, reason="patch", **who(owner))
    piece = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_000, cut=line, **who(owner))
    ledger.correct(movement=piece.movements.get(), reason="it was binned", **who(owner))
    assert of(total(list(entries()))) == {"bought": 20 * M2, "parts": 2 * M2, "stock_change": 18 * M2}


def test_offcut_of_a_cut_in_another_month_is_told_apart(client, owner, roll):
    line = ledger.record_cut(roll=roll, length_mm=2_000, **who(owner))
    april = NOON + datetime.timedelta(days=40)
    ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_000, cut=line, **who(owner, april))
    later, march = rows_by(list(entries()), MONTH)
    assert (later.noted_elsewhere, march.noted_elsewhere) == (-400_000, 400_000)
    assert later.is_balanced
    assert march.is_balanced
    client.force_login(owner)
    assert "Offcuts of another row" in client.get(reverse("yield")).content.decode()
    assert "Offcuts of another row" not in client.get(reverse("yield"), {"by": JOB}).content.decode()


def test_planned_cut_is_its_pieces_and_the_rest_is_trimmed(owner, kind, roll):
    job = simple_job(by=owner, reinforcement=kind, length_mm=2_000, width_mm=800, may_turn=False)
    confirmed(job, owner)
    promise = roll.set_asides.get()
    ledger.record_cut(roll=roll, length_mm=2_020, set_aside=promise, **who(owner))
    row = next(row for row in rows_by(list(entries()), JOB) if row.name == str(job))
    assert of(row) == {"parts": 1_600_000, "trimmed": 420_000, "stock_change": -2_020_000}
    assert round(row.yield_percent) == 79
    ledger.record_offcut(parent=roll, width_mm=200, length_mm=2_000, **who(owner))
    row = next(row for row in rows_by(list(entries()), JOB) if row.name == str(job))
    kept = {"kept": 400_000, "offcuts": 400_000}
    assert of(row) == {"parts": 1_600_000, "trimmed": 20_000, "stock_change": -1_620_000} | kept


def test_loss_is_scrapped_by_its_reason_and_recount_is_lost(owner, roll):
    ledger.record_loss(roll=roll, length_mm=1_000, cause="outer_layers", reason="dust", **who(owner))
    ledger.record_loss(roll=roll, length_mm=300, cause="end", reason="frayed", **who(owner))
    ledger.record_recount(roll=roll, length_mm=18_000, reason="tape", **who(owner))
    found = list(entries())
    assert scrap_by_cause(found) == [("outer layers stripped", M2), ("crooked or frayed end", 300_000)]
    assert of(total(found)) == {
        "bought": 20 * M2,
        "scrapped": 1_300_000,
        "lost": 700_000,
        "stock_change": 18 * M2,
    }


def test_line_taken_back_takes_its_flows_back(owner, roll):
    line = ledger.record_cut(roll=roll, length_mm=2_000, **who(owner))
    ledger.correct(movement=line, reason="other roll", **who(owner))
    assert of(total(list(entries()))) == {"bought": 20 * M2, "stock_change": 20 * M2}


def test_return_takes_from_what_was_bought(owner, roll):
    ledger.return_roll(roll=roll, reason="wet", **who(owner))
    assert of(total(list(entries()))) == {}


def test_split_changes_nothing(owner, roll):
    ledger.split_roll(roll=roll, length_mm=5_000, **who(owner))
    assert of(total(list(entries()))) == {"bought": 20 * M2, "stock_change": 20 * M2}


def test_months_are_kept_apart_and_the_time_is_bounded(owner, roll):
    april = NOON + datetime.timedelta(days=40)
    ledger.record_cut(roll=roll, length_mm=2_000, **who(owner, april))
    assert [row.name for row in rows_by(list(entries()), MONTH)] == ["2026-04", "2026-03"]
    assert of(total(list(entries(april.date(), april.date())))) == {"parts": 2 * M2, "stock_change": -2 * M2}


def test_page_shows_table_picture_and_scrap(client, owner, roll):
    ledger.record_cut(roll=roll, length_mm=3_500, **who(owner))
    ledger.record_offcut(parent=roll, width_mm=500, length_mm=1_000, **who(owner))
    ledger.record_loss(roll=roll, length_mm=1_000, cause="sample", reason="trial", **who(owner))
    client.force_login(owner)
    page = client.get(reverse("yield")).content.decode()
    assert "Of what was taken: parts 66.7 %, scrapped 22.2 %, kept as offcuts 11.1 %." in page
    assert "Sample or trial" in page
    assert "20.00 m²" in page


def test_file_holds_square_metres(client, owner, roll):
    client.force_login(owner)
    answer = client.get(reverse("yield"), {"by": REINFORCEMENT, "_export": "csv"})
    [_, row] = csv.reader(StringIO(answer.content.decode()))
    assert row[:2] == ["roving 600", "20.0"]


def test_time_that_ends_before_it_starts_is_named(client, owner):
    client.force_login(owner)
    page = client.get(reverse("yield"), {"start": "2026-04-01", "end": "2026-03-01"}).content.decode()
    assert "It ends before it starts" in page


@pytest.mark.parametrize("many", [1, 3])
def test_page_asks_the_database_the_same_for_one_and_three(client, owner, kind, django_assert_max_num_queries, many):
    for _ in range(many):
        roll = make_roll(by=owner, reinforcement=make_reinforcement())
        ledger.record_cut(roll=roll, length_mm=1_000, **who(owner))
    client.force_login(owner)
    with django_assert_max_num_queries(12):
        client.get(reverse("yield"))


def test_without_a_role_there_is_no_yield(client, outsider):
    client.force_login(outsider)
    assert client.get(reverse("yield")).status_code == 403


class AnyLedger(TestCase):
    @settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(st.lists(wishes, min_size=1, max_size=25))
    def test_account_sums_to_zero_with_the_ledger(self, sequence):
        shop = Shop()
        for wish in sequence:
            with suppress(ledger.LedgerError):
                shop.carry_out(wish)
        found = list(entries())
        change = total(found).stock_change
        assert change == Movement.objects.aggregate(mm2=Sum(F("delta_mm") * F("roll__width_mm")))["mm2"]
        assert change == Roll.objects.aggregate(mm2=Sum(F("length_mm") * F("width_mm")))["mm2"]
        for by in (MONTH, JOB, REINFORCEMENT):
            rows = rows_by(found, by)
            assert all(row.is_balanced for row in rows)
            assert sum(row.stock_change for row in rows) == change
