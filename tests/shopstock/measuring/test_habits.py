"""The shop's habit of cutting over: learned, shown, and in force only by the owner's word."""

import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.models import CutHabit
from shopstock.readings import booked_estimate, learned_habit
from tests.factories import NOON, make_reinforcement, make_roll, new_key

DAY = datetime.timedelta(days=1)


@pytest.fixture
def cloth():
    return make_reinforcement("plain cloth", form="cloth")


def cut_and_recount(clerk, cloth, *, cuts=20, over_mm=15, at=NOON):
    """A taped roll of which each cut took more than entered; then taped again."""
    roll = make_roll(by=clerk, reinforcement=cloth, length_mm=50_000)
    recount(roll, clerk, 50_000, at)
    cut_many(roll, clerk, cuts, at)
    recount(roll, clerk, 50_000 - cuts * (1_000 + over_mm), at)
    return roll


def recount(roll, clerk, length_mm, at):
    ledger.record_recount(roll=roll, length_mm=length_mm, reason="count", by=clerk, at=at, key=new_key())


def cut_many(roll, clerk, cuts, at=NOON):
    for _ in range(cuts):
        ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=at, key=new_key())


@pytest.fixture
def recounts(clerk, cloth):
    return [cut_and_recount(clerk, cloth) for _ in range(6)]


def switch(client, form="cloth", **typed):
    return client.post(reverse("cut-habit", args=[form]), typed, follow=True).content.decode()


def test_habit_is_learned_per_form_from_recounts(recounts):
    habit = learned_habit("cloth")
    assert (round(habit.over_mm), habit.observations, habit.cuts) == (15, 6, 120)
    assert learned_habit("mat") is None


def test_recount_taken_back_teaches_nothing(recounts, clerk):
    line = recounts[0].movements.filter(kind="recount").first()
    ledger.correct(movement=line, reason="misread", by=clerk, at=NOON, key=new_key())
    assert learned_habit("cloth").observations == 5


def test_habit_is_shown_with_what_stands_behind_it(client, clerk, recounts):
    client.force_login(clerk)
    page = client.get(reverse("cut-habits")).content.decode()
    assert "15 mm a cut" in page
    assert "6 recounts with 120 cuts" in page
    assert "Add 15 mm" not in page


def test_owner_switches_it_on_and_off(client, owner, recounts):
    client.force_login(owner)
    assert "Add 15 mm" in client.get(reverse("cut-habits")).content.decode()
    switch(client, switch="on", allowance_mm=15)
    habit = CutHabit.objects.get()
    assert (habit.form, habit.allowance_mm, habit.observations, habit.by) == ("cloth", 15, 6, owner)
    switch(client, switch="off", allowance_mm=0)
    assert not CutHabit.objects.exists()


def test_another_figure_than_the_one_shown_is_not_switched_on(client, owner, recounts):
    client.force_login(owner)
    assert "it is 15 mm now" in switch(client, switch="on", allowance_mm=40)
    assert not CutHabit.objects.exists()


def test_few_recounts_cannot_be_switched_on(client, owner, clerk, cloth):
    cut_and_recount(clerk, cloth)
    client.force_login(owner)
    assert "Measure more rolls first" in switch(client, switch="on", allowance_mm=15)


def test_only_what_recounts_show_since_is_taken_off_the_ledger(client, owner, clerk, cloth, recounts):
    CutHabit.objects.create(form="cloth", allowance_mm=15, observations=6, cuts=120, by=owner, at=NOON)
    roll = make_roll(by=clerk, reinforcement=cloth)
    cut_many(roll, clerk, 10)
    roll.refresh_from_db()
    assert booked_estimate(roll)[1] == 0
    for _ in range(6):
        cut_and_recount(clerk, cloth, over_mm=4, at=NOON + DAY)
    estimate, over_mm = booked_estimate(roll)
    assert round(over_mm) == 40
    assert round(estimate.length_mm) == 39_960


@pytest.mark.parametrize(("role", "status"), [("clerk", 403), ("laminator", 403), ("outsider", 403)])
def test_only_the_owner_switches(client, request, role, status, recounts):
    client.force_login(request.getfixturevalue(role))
    answer = client.post(reverse("cut-habit", args=["cloth"]), {"switch": "on", "allowance_mm": 15})
    assert (answer.status_code, CutHabit.objects.count()) == (status, 0)
