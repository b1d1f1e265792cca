"""Any sequence of receipts, cuts, losses, faults, promises, recounts and corrections keeps the rules of the ledger."""

from contextlib import suppress

import pytest
from django.db.models import Sum
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.ledger_check import differences
from shopstock.models import Movement, Roll, SetAside
from tests.factories import NOON, make_person, make_roll, new_key

lengths = st.integers(1, 6_000)
which = st.integers(0, 20)
wishes = st.one_of(
    st.tuples(st.just("receipt"), lengths),
    st.tuples(st.just("cut"), which, lengths),
    st.tuples(st.just("planned cut"), which, st.integers(-50, 50)),
    st.tuples(st.just("loss"), which, lengths),
    st.tuples(st.just("offcut"), which, lengths),
    st.tuples(st.just("fault"), which, st.integers(0, 5_000), st.integers(1, 800)),
    st.tuples(st.just("clear"), which),
    st.tuples(st.just("promise"), which, st.lists(lengths, min_size=1, max_size=3)),
    st.tuples(st.just("give back"), which),
    st.tuples(st.just("recount"), which, st.integers(0, 8_000)),
    st.tuples(st.just("correct"), which),
    st.tuples(st.just("quarantine"), which),
    st.tuples(st.just("release"), which),
    st.tuples(st.just("split"), which, lengths),
    st.tuples(st.just("join"), which, which),
    st.tuples(st.just("send back"), which),
    st.tuples(st.just("again"), which),
)


class Shop:
    """Carries out wishes as a person would, on whatever is there; a refusal is an answer, not a failure."""

    def __init__(self):
        self.by = make_person("hypothesis", "owner")
        self.first = make_roll(by=self.by, length_mm=5_000)
        self.done = []

    def carry_out(self, wish) -> None:
        name, *figures = wish
        with suppress(ledger.LedgerError):
            getattr(self, name.replace(" ", "_"))(*figures)

    def pick(self, model, number, **conditions):
        found = list(model.objects.filter(**conditions).order_by("pk"))
        return found[number % len(found)] if found else None

    def roll(self, number) -> Roll:
        return self.pick(Roll, number)

    def who(self) -> dict:
        return {"by": self.by, "at": NOON, "key": new_key()}

    def remember(self, function, **wish) -> None:
        function(**wish)
        self.done.append((function, wish))

    def receipt(self, length_mm):
        make_roll(by=self.by, reinforcement=self.first.reinforcement, length_mm=length_mm)

    def cut(self, number, length_mm):
        self.remember(ledger.record_cut, roll=self.roll(number), length_mm=length_mm, **self.who())

    def planned_cut(self, number, more_mm):
        wanted = self.pick(SetAside, number, state="open")
        if wanted:
            self.remember(
                ledger.record_cut,
                roll=wanted.roll,
                length_mm=max(1, wanted.length_mm + more_mm),
                set_aside=wanted,
                **self.who(),
            )

    def loss(self, number, length_mm):
        self.remember(ledger.record_loss, roll=self.roll(number), length_mm=length_mm, reason="dirty", **self.who())

    def offcut(self, number, length_mm):
        ledger.record_offcut(parent=self.roll(number), width_mm=300, length_mm=length_mm, **self.who())

    def fault(self, number, start_mm, size_mm):
        """Every other one leaves part of the width clear, for a good way from near the free end."""
        found = FoundFault(start_mm, start_mm + size_mm, "crease")
        if start_mm % 2:
            found = FoundFault(start_mm // 10, start_mm // 10 + 4 * size_mm, "oil", across_mm=(0, 150))
        ledger.report_fault(roll=self.roll(number), fault=found, **self.who())

    def clear(self, number):
        fault = self.pick(self.first.faults.model, number, cleared_at=None)
        if fault:
            ledger.clear_fault(fault=fault, reason="only a shadow", **self.who())

    def promise(self, number, lengths_mm):
        """Every other one may lie beside oil."""
        promises = [
            ledger.Promise(self.roll(number + n), length, f"job {n}", taken_across=((150, 300),) if length % 2 else ())
            for n, length in enumerate(lengths_mm)
        ]
        ledger.set_aside(promises=promises, by=self.by, at=NOON)

    def give_back(self, number):
        wanted = self.pick(SetAside, number)
        if wanted:
            ledger.give_back(set_asides=[wanted], at=NOON)

    def recount(self, number, length_mm):
        self.remember(ledger.record_recount, roll=self.roll(number), length_mm=length_mm, reason="tape", **self.who())

    def correct(self, number):
        ledger.correct(movement=self.pick(Movement, number), reason="typed wrong", **self.who())

    def quarantine(self, number):
        ledger.quarantine(roll=self.roll(number), reason="oil", **self.who())

    def release(self, number):
        ledger.release(roll=self.roll(number), reason="clean", **self.who())

    def split(self, number, length_mm):
        self.remember(ledger.split_roll, roll=self.roll(number), length_mm=length_mm, **self.who())

    def join(self, number, other):
        self.remember(ledger.join_rolls, roll=self.roll(number), other=self.roll(other), **self.who())

    def send_back(self, number):
        self.remember(ledger.return_roll, roll=self.roll(number), reason="oil", **self.who())

    def again(self, number):
        """A wish that was carried out arrives once more, as from a second tap."""
        if self.done:
            function, wish = self.done[number % len(self.done)]
            lines = Movement.objects.count()
            function(**wish)
            assert Movement.objects.count() == lines


class AnySequenceOfWishes(TestCase):
    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(st.lists(wishes, min_size=1, max_size=25))
    @example([("fault", 0, 101, 500), ("promise", 0, [2001, 601]), ("planned cut", 0, -50), ("recount", 0, 1500)])
    def test_rules_of_the_ledger_hold_after_every_wish(self, sequence):
        shop = Shop()
        for wish in sequence:
            shop.carry_out(wish)
            assert list(differences()) == []
        total = Movement.objects.aggregate(total=Sum("delta_mm"))["total"]
        assert total == Roll.objects.aggregate(total=Sum("length_mm"))["total"]


@pytest.mark.django_db
def test_difference_made_behind_the_ledgers_back_is_noticed():
    shop = Shop()
    Roll.objects.filter(pk=shop.first.pk).update(length_mm=4_999)
    assert len(list(differences())) == 1
