"""Wherever cloth goes, its faults go with it: any sequence of cuts, splits and joins against the cloth itself."""

from contextlib import suppress

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shopstock import ledger
from shopstock.calc.stretches import merged_faults
from shopstock.ledger.faults import FoundFault
from shopstock.ledger.locking import open_faults
from shopstock.models import Roll
from tests.factories import NOON, make_person, make_roll, new_key

which = st.integers(0, 9)
steps = st.one_of(
    st.tuples(st.just("fault"), which, st.integers(0, 2_900), st.integers(1, 400)),
    st.tuples(st.just("cut"), which, st.integers(1, 900)),
    st.tuples(st.just("split"), which, st.integers(1, 2_000)),
    st.tuples(st.just("join"), which, which),
    st.tuples(st.just("found more"), which, st.integers(1, 300)),
    st.tuples(st.just("take back"), which),
)


class Cloth:
    """Each roll as the list of its millimetres from core to free end; a millimetre knows whether it is faulty."""

    def __init__(self):
        self.by = make_person("hypothesis", "owner")
        first = make_roll(by=self.by, length_mm=3_000)
        second = make_roll(by=self.by, length_mm=2_000, reinforcement=first.reinforcement)
        self.rolls = {first.pk: [False] * 3_000, second.pk: [False] * 2_000}

    def pick(self, number) -> Roll:
        keys = sorted(self.rolls)
        return Roll.objects.get(pk=keys[number % len(keys)])

    def who(self) -> dict:
        return {"by": self.by, "at": NOON, "key": new_key()}

    def fault(self, number, start_mm, size_mm):
        roll = self.pick(number)
        ledger.report_fault(roll=roll, fault=FoundFault(start_mm, start_mm + size_mm, "oil"), **self.who())
        length = roll.length_mm
        self.mark(roll.pk, length - start_mm - size_mm, length - start_mm)

    def mark(self, pk, low_mm, high_mm):
        cloth = self.rolls[pk]
        for place in range(max(0, low_mm), min(high_mm, len(cloth))):
            cloth[place] = True

    def cut(self, number, length_mm):
        roll = self.pick(number)
        ledger.record_loss(roll=roll, length_mm=length_mm, reason="end", **self.who())
        del self.rolls[roll.pk][-length_mm:]

    def split(self, number, length_mm):
        roll = self.pick(number)
        second = ledger.split_roll(roll=roll, length_mm=length_mm, **self.who())
        cloth = self.rolls[roll.pk]
        self.rolls[second.pk] = cloth[: len(cloth) - length_mm - 1 : -1]
        del cloth[-length_mm:]

    def join(self, number, other):
        roll, added = self.pick(number), self.pick(other)
        ledger.join_rolls(roll=roll, other=added, **self.who())
        below = len(self.rolls[roll.pk])
        self.rolls[roll.pk] += self.rolls[added.pk][::-1]
        self.rolls[added.pk] = []
        self.mark(roll.pk, below - 50, below + 50)

    def take_back(self, number):
        """A split that nothing was done after: the cloth of the second roll is on the first again."""
        line = self.pick(number).movements.exclude(delta_mm=0).first()
        if line.kind != "split":
            return
        gone = line if line.delta_mm < 0 else line.pair
        came = gone.paired.get(kind="split")
        ledger.take_back_winding(movement=line, reason="another roll", **self.who())
        self.rolls[gone.roll_id] += self.rolls[came.roll_id][::-1]
        self.rolls[came.roll_id] = []

    def found_more(self, number, more_mm):
        """A recount finds more than was booked; where it was added nobody can say, so it counts as at the free end."""
        roll = self.pick(number)
        ledger.record_recount(roll=roll, length_mm=roll.length_mm + more_mm, reason="tape", **self.who())
        self.rolls[roll.pk] += [False] * more_mm

    def check(self):
        for pk, cloth in self.rolls.items():
            roll = Roll.objects.get(pk=pk)
            faulty = [False] * roll.length_mm
            faults = [(fault.from_mm, fault.to_mm) for fault in open_faults(roll)]
            for start, end in merged_faults(roll.length_mm, faults):
                faulty[start:end] = [True] * (end - start)
            assert faulty == cloth[::-1]


class AnySequenceOfHandling(TestCase):
    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
    @given(st.lists(steps, min_size=1, max_size=14))
    def test_faults_stay_on_the_millimetres_they_were_found_on(self, sequence):
        cloth = Cloth()
        for name, *figures in sequence:
            with suppress(ledger.LedgerError):
                getattr(cloth, name.replace(" ", "_"))(*figures)
            cloth.check()
