"""The answer to what is short is remembered, and never after something that decides it has changed."""

import datetime

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Ply
from shopstock import demand, ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Shop
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, new_key
from tests.jobs.factories import confirmed, simple_job


@pytest.fixture(autouse=True)
def _fresh():
    cache.clear()


@pytest.fixture
def kind(db):
    return make_reinforcement()


@pytest.fixture
def job(kind, owner):
    return simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_200, may_turn=False)


def pieces_short() -> list[int]:
    return [short.pieces for short in demand.cloth_shortages(TODAY)]


def test_asked_again_the_answer_comes_without_the_racks_being_read(job):
    first = pieces_short()
    with CaptureQueriesContext(connection) as asked:
        assert pieces_short() == first == [1]
    assert not any("shopstock_fault" in query["sql"] for query in asked)


def test_answer_follows_a_receipt_a_fault_and_a_recount(job, kind, owner):
    assert pieces_short() == [1]
    roll = make_roll(by=owner, reinforcement=kind, length_mm=12_000)
    assert pieces_short() == []
    wet = FoundFault(4_000, 4_500, "wet")
    ledger.report_fault(roll=roll, fault=wet, by=owner, at=NOON, key=new_key())
    assert pieces_short() == [1]
    ledger.clear_fault(fault=roll.faults.get(), by=owner, at=NOON, key=new_key(), reason="dried")
    assert pieces_short() == []
    ledger.record_recount(roll=roll, length_mm=9_000, by=owner, at=NOON, key=new_key(), reason="tape")
    assert pieces_short() == [1]


def test_answer_follows_quarantine_and_a_cut_for_nothing_planned(job, kind, owner):
    roll = make_roll(by=owner, reinforcement=kind, length_mm=12_000)
    assert pieces_short() == []
    ledger.quarantine(roll=roll, reason="wet", by=owner, at=NOON, key=new_key())
    assert pieces_short() == [1]
    ledger.release(roll=roll, reason="dry", by=owner, at=NOON, key=new_key())
    assert pieces_short() == []
    ledger.record_cut(roll=roll, length_mm=3_000, by=owner, at=NOON, key=new_key())
    assert pieces_short() == [1]


def test_answer_follows_the_lay_up_the_job_and_the_settings(job, kind, owner):
    roll = make_roll(by=owner, reinforcement=kind, length_mm=12_000)
    assert pieces_short() == []
    ply = Ply.objects.get(part__job=job)
    ply.count = 2
    ply.save()
    assert pieces_short() == [1]
    ply.count = 1
    ply.save()
    shop = Shop.current()
    shop.cutting_allowance_mm = 60
    shop.save()
    assert pieces_short() == [1]
    shop.cutting_allowance_mm = 0
    shop.save()
    assert pieces_short() == []
    simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_200, may_turn=False)
    assert (pieces_short(), roll.free_mm) == ([1], 12_000)


def test_answer_follows_a_plan_confirmed_and_a_job_cancelled(job, kind, owner):
    make_roll(by=owner, reinforcement=kind, length_mm=10_400)
    later = simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_200, may_turn=False)
    later.cut_on += datetime.timedelta(days=30)
    later.save()
    assert pieces_short() == [1]
    confirmed(job, owner)
    assert pieces_short() == [1]
    later.state = later.State.CANCELLED
    later.save()
    assert pieces_short() == []
