"""The ledger read as an account of cloth: what came, and what became of it, by month, job or reinforcement."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import F, Q, Sum
from django.utils import timezone

from shopstock.calc.cloth_account import (
    BACK,
    BOUGHT,
    FLOWS,
    KEPT,
    MOVED,
    PARTS,
    RECOUNTED,
    RETURNED,
    SCRAPPED,
    TRIMMED,
    Flows,
    flows_of_line,
    shared_out,
    together,
    turned_back,
)
from shopstock.models import Movement, Roll
from shopstock.part_use import PartUse, parts_of

NO_PLAN, NO_JOB = "cut without a plan", "no job"
MONTH, JOB, REINFORCEMENT = "month", "job", "reinforcement"
Kind = Movement.Kind
Uses = dict[int, tuple[PartUse, ...]]


@dataclass(frozen=True)
class Entry:
    """One line of the ledger with its flows (mm²), what of them changed the stock of offcuts, and the names under
    which it counts.
    """

    flows: Flows
    offcuts: int
    month: str
    job: str
    reinforcement: str
    cause: str

    def under(self, by: str) -> str:
        return getattr(self, by)


@dataclass(frozen=True)
class Row:
    """The account of one month, job or reinforcement; areas in mm², what left the store above 0.

    `offcuts` is how the stock of offcuts changed, a part of the change of stock.
    """

    name: str
    flows: Counter
    offcuts: int = 0

    @property
    def bought(self) -> int:
        return self.flows[BOUGHT] + self.flows[RETURNED]

    @property
    def parts(self) -> int:
        return -self.flows[PARTS]

    @property
    def trimmed(self) -> int:
        return -self.flows[TRIMMED]

    @property
    def scrapped(self) -> int:
        return -self.flows[SCRAPPED]

    @property
    def lost(self) -> int:
        """At recounts; below 0 when more was found than booked."""
        return -self.flows[RECOUNTED] - self.flows[MOVED]

    @property
    def kept(self) -> int:
        """Of what was cut, what became stock again as offcuts."""
        return -self.flows[KEPT]

    @property
    def noted_elsewhere(self) -> int:
        """Offcuts of these cuts that were noted in another row, less those noted here of cuts in another row."""
        return self.kept - self.flows[BACK]

    @property
    def stock_change(self) -> int:
        return sum(self.flows[name] for name in FLOWS)

    @property
    def is_balanced(self) -> bool:
        gone = self.parts + self.trimmed + self.scrapped + self.lost + self.noted_elsewhere
        return self.bought - gone == self.stock_change

    @property
    def yield_percent(self) -> float | None:
        """Parts of all that was taken for good."""
        used = self.parts + self.trimmed + self.scrapped + self.lost
        return 100 * self.parts / used if used > 0 else None


def entries(start: datetime.date | None = None, end: datetime.date | None = None) -> Iterator[Entry]:
    """Every line between two days, both included."""
    lines = _lines(start, end)
    meant = [line.corrects or line for line in lines]
    uses = parts_of({_cut_of(line).set_aside_id for line in meant} - {None})
    kept = _kept_by_line({line.pk for line in meant})
    for line in lines:
        for job, flows in _by_job(line.corrects or line, uses, kept):
            turned = turned_back(flows) if line.corrects else flows
            yield Entry(
                turned,
                sum(turned.values()) if line.roll.kind == Roll.Kind.OFFCUT else 0,
                timezone.localtime(line.recorded_at).strftime("%Y-%m"),
                job,
                line.roll.reinforcement.name,
                (line.corrects or line).get_cause_display() or "other",
            )


def _cut_of(line: Movement) -> Movement:
    """The cut behind a line: of an offcut the one that it was left of, else the line itself."""
    return line.pair if line.kind == Kind.OFFCUT and line.pair else line


def _by_job(line: Movement, uses: Uses, kept: dict[int, int]) -> Iterator[tuple[str, Flows]]:
    cut = _cut_of(line)
    parts = uses.get(cut.set_aside_id, ())
    flows = flows_of_line(
        line.kind,
        line.delta_mm * line.roll.width_mm,
        parts_mm2=sum(use.area_mm2 for use in parts) if parts else None,
        kept_mm2=kept.get(line.pk, 0),
    )
    if not parts:
        yield _job_of(cut), flows
        return
    for use, share in zip(parts, shared_out(flows, [use.area_mm2 for use in parts]), strict=True):
        yield use.job, share


def _job_of(line: Movement) -> str:
    if line.kind != Kind.CUT:
        return NO_JOB
    return line.set_aside.purpose if line.set_aside else line.reason or NO_PLAN


def _lines(start: datetime.date | None, end: datetime.date | None) -> list[Movement]:
    within = Q()
    if start:
        within &= Q(recorded_at__date__gte=start)
    if end:
        within &= Q(recorded_at__date__lte=end)
    lines = Movement.objects.filter(within).exclude(delta_mm=0).order_by("recorded_at", "pk")
    cuts = ("set_aside", "pair__set_aside", "corrects__set_aside", "corrects__pair__set_aside")
    return list(lines.select_related("roll__reinforcement", *cuts))


def _kept_by_line(lines: set[int]) -> dict[int, int]:
    noted = Movement.objects.filter(kind=Kind.OFFCUT, pair__isnull=False, corrected_by__isnull=True)
    offcuts = noted.values("pair")
    areas = offcuts.annotate(area=Sum(F("delta_mm") * F("roll__width_mm"))).values_list("pair", "area")
    return {pk: area for pk, area in areas if pk in lines}


def rows_by(found: list[Entry], by: str) -> list[Row]:
    grouped: dict[str, list[Entry]] = defaultdict(list)
    for entry in found:
        grouped[entry.under(by)].append(entry)
    rows = [total(mine, name) for name, mine in grouped.items()]
    return sorted(rows, key=lambda row: row.name, reverse=by == MONTH)


def total(found: list[Entry], name: str = "all") -> Row:
    return Row(name, together(entry.flows for entry in found), sum(entry.offcuts for entry in found))


def scrap_by_cause(found: list[Entry]) -> list[tuple[str, int]]:
    """Area scrapped (mm²) by reason, the largest first."""
    causes: Counter = Counter()
    for entry in found:
        causes[entry.cause] -= entry.flows.get(SCRAPPED, 0)
    return [(cause, area) for cause, area in causes.most_common() if area]
