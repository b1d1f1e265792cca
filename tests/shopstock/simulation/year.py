"""A shop through a year: rolls arrive with wrong labels, cuts run over, some are never entered, rolls are weighed.

Everything the shop knows goes through the calculations of the program; what is really on a roll only the simulation
knows. One seed is one year.
"""

from dataclasses import dataclass, field
from math import sqrt

import numpy as np

from shopstock.calc.cut_habit import Drift, Habit, learn_habit
from shopstock.calc.fusing import fuse
from shopstock.calc.roll_diameter import from_diameter_ratio
from shopstock.calc.roll_estimate import after_cuts, from_label, from_tape, from_weight_ratio
from shopstock.calc.uncertainty import Estimate, covariance_mm2

DAYS = 250
ROLLS = 30
CUT_CHANCE = 0.35  # of a roll on a working day
WEIGH_EVERY = 20
OVER_MM, OVER_SPREAD_MM = 15, 20
FORGOTTEN = 0.02  # cuts that nobody enters
SHORT_MM = 4_000  # a roll this short is used up and replaced


@dataclass
class TrueRoll:
    """What is really there, and the readings that instruments give of it."""

    label_mm: float
    length_mm: float
    tube_g: float
    tube_read_g: float
    g_per_mm: float
    receipt_read_g: float
    core_mm: float
    receipt_diameter_mm: float
    thickness_mm: float


@dataclass
class Booked:
    """What the shop believes: the ledger alone since the label, and the estimate with its doubt."""

    ledger_alone_mm: float
    estimate: Estimate
    cuts: int = 0
    taken_mm: float = 0.0


@dataclass
class Result:
    """One row a measurement: error of the estimate in standard uncertainties and mm, and of the ledger alone in mm."""

    normal_errors: list[float] = field(default_factory=list)
    errors_mm: list[float] = field(default_factory=list)
    ledger_errors_mm: list[float] = field(default_factory=list)
    below_safe: int = 0
    refused: int = 0

    @property
    def held_percent(self) -> float:
        """How often the truth lies within the 95 % band."""
        return 100 * float(np.mean(np.abs(self.normal_errors) <= 1.96))

    @property
    def above_safe_percent(self) -> float:
        return 100 * (1 - self.below_safe / len(self.errors_mm))


class Year:
    """`habit` is what the shop knows of its own cutting, None for a shop that never looked."""

    def __init__(self, seed: int, habit: Habit | None = None):
        self.random = np.random.default_rng(seed)
        self.habit = habit
        self.drifts: list[Drift] = []
        self.result = Result()

    def within(self, middle: float, half: float) -> float:
        return self.random.uniform(middle - half, middle + half)

    def new_roll(self) -> tuple[TrueRoll, Booked]:
        label = self.random.choice([40_000.0, 50_000.0, 60_000.0])
        length = self.random.normal(label, from_label(label).uncertainty_mm)  # a tolerance is not always held
        tube, core = self.random.uniform(800, 2_000), self.random.uniform(76, 90)
        g_per_mm = self.random.uniform(0.4, 1.0)
        thickness = self.random.uniform(0.6, 1.4)
        diameter = sqrt(core**2 + 4 * thickness * length / np.pi)
        true = TrueRoll(
            label,
            length,
            tube,
            self.within(tube, 100),
            g_per_mm,
            self.within(tube + length * g_per_mm, 50),
            core,
            self.within(diameter, 2),
            thickness,
        )
        return true, Booked(label, from_label(label))

    def cut(self, true: TrueRoll, booked: Booked) -> None:
        wanted = self.random.uniform(600, 3_000)
        taken = min(true.length_mm, max(1.0, wanted + self.random.normal(OVER_MM, OVER_SPREAD_MM)))
        true.length_mm -= taken
        if self.random.random() < FORGOTTEN:
            return
        booked.ledger_alone_mm -= wanted
        booked.taken_mm += wanted
        booked.cuts += 1

    def ledger_estimate(self, booked: Booked) -> Estimate:
        if self.habit is None:
            return after_cuts(booked.estimate, booked.taken_mm, booked.cuts)
        habit = self.habit
        spread = {"u_cut_mm": habit.spread_mm, "over_mm": habit.over_mm, "u_over_mm": habit.u_over_mm}
        return after_cuts(booked.estimate, booked.taken_mm, booked.cuts, **spread)

    def weighing(self, true: TrueRoll) -> Estimate:
        gross = self.within(true.tube_g + true.length_mm * true.g_per_mm, 50)
        u_label = from_label(true.label_mm).uncertainty_mm
        return from_weight_ratio(gross, true.tube_read_g, true.label_mm, true.receipt_read_g, u_label_mm=u_label)

    def diameter(self, true: TrueRoll) -> Estimate:
        outer = self.within(sqrt(true.core_mm**2 + 4 * true.thickness_mm * true.length_mm / np.pi), 2)
        u_label = from_label(true.label_mm).uncertainty_mm
        core = self.within(true.core_mm, 0.5)
        outer = min(outer, true.receipt_diameter_mm)
        return from_diameter_ratio(outer, core, true.label_mm, true.receipt_diameter_mm, u_label_mm=u_label)

    def taped(self, true: TrueRoll) -> Estimate:
        """Laid on the table; errors of a tape lie within its tolerance."""
        return from_tape(self.within(self.within(true.length_mm, 10), true.length_mm * 0.002))

    def measure(self, true: TrueRoll, booked: Booked) -> None:
        readings = [self.weighing(true)]
        if self.random.random() < 0.3:
            readings.append(self.diameter(true))
        fused = fuse([self.ledger_estimate(booked), *readings])
        if fused.agree:
            found, alone = fused.estimate, readings[0]
        else:
            self.result.refused += 1
            found = alone = self.taped(true)
        self.learn(booked, alone)
        self.note(true, booked, found)
        booked.estimate, booked.cuts, booked.taken_mm = found, 0, 0.0

    def learn(self, booked: Booked, alone: Estimate) -> None:
        without_cuts = booked.estimate.uncertainty_mm**2 + alone.uncertainty_mm**2
        u = sqrt(max(1.0, without_cuts - 2 * covariance_mm2(booked.estimate, alone)))
        over = booked.estimate.length_mm - booked.taken_mm - alone.length_mm
        self.drifts.append(Drift(over, booked.cuts, u))

    def note(self, true: TrueRoll, booked: Booked, found: Estimate) -> None:
        error = found.length_mm - true.length_mm
        self.result.errors_mm.append(error)
        self.result.normal_errors.append(error / found.uncertainty_mm)
        self.result.ledger_errors_mm.append(booked.ledger_alone_mm - true.length_mm)
        self.result.below_safe += true.length_mm < found.safe_length_mm

    def run(self) -> "Year":
        stock = [self.new_roll() for _ in range(ROLLS)]
        for day in range(DAYS):
            for number, (true, booked) in enumerate(stock):
                if self.random.random() < CUT_CHANCE:
                    self.cut(true, booked)
                if (day + number) % WEIGH_EVERY == 0 and booked.cuts:
                    self.measure(true, booked)
                if true.length_mm < SHORT_MM:
                    stock[number] = self.new_roll()
        return self


def learned_habit(seed: int) -> Habit:
    """What a shop learns of itself in the year before, while it does not use it yet."""
    return learn_habit(Year(seed).run().drifts)
