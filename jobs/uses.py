"""What every job takes of each reinforcement and when: set aside, planned and quoted. The outlook is drawn from it."""

import datetime
from collections import Counter
from collections.abc import Collection, Iterable, Sequence

from jobs.calc.serving import ServedJob
from shopstock.demand import ClothShortage, ClothUse
from shopstock.models import SetAside

from .asking import Asked
from .free_cloth import FreeCloth
from .models import Job, PlannedStrip
from .racks import ALL_ROLLS, Racks, cloth_on_racks
from .shortages import ClothNeed, served_with_new
from .work import Work


def set_aside_uses(work: Sequence[Work], on: datetime.date) -> list[ClothUse]:
    """Lengths promised by confirmed plans, on the day their job is to be cut."""
    jobs = {item.job.pk: item.job for item in work}
    open_strips = PlannedStrip.objects.filter(set_aside__state=SetAside.State.OPEN)
    of_jobs = open_strips.filter(blanks__ply__part__job__in=jobs).values_list("pk", "blanks__ply__part__job_id")
    first_job = {}
    for strip, job in of_jobs.distinct():  # a strip that several jobs share is cut when the first of them is
        first_job[strip] = min(first_job.get(strip, job), job, key=lambda pk: (jobs[pk].cut_on, pk))
    lengths: Counter = Counter()
    for pk, kind, length_mm in open_strips.filter(pk__in=first_job).values_list(
        "pk", "roll__reinforcement_id", "length_mm"
    ):
        lengths[first_job[pk], kind] += length_mm
    return [
        ClothUse(kind, _day(jobs[job], on), str(jobs[job]), job, here_mm=mm, set_aside=True)
        for (job, kind), mm in lengths.items()
    ]


def planned_uses(
    asked: Asked, kinds: Collection[int] | None = None, cloth: dict[int, list[FreeCloth]] | None = None
) -> list[ClothUse]:
    """What jobs in hand take of what is free, of what is coming and, beyond that, of new rolls; of `kinds` or all.

    `cloth` is that on the racks, where it was read before.
    """
    cloth = cloth or cloth_on_racks(list(asked.kinds), asked.shop, ALL_ROLLS, asked.on)
    asked.choose_widths(cloth)
    return [
        use for pk in asked.kinds if kinds is None or pk in kinds for use in _uses_of(asked, asked.racks(pk, cloth[pk]))
    ]


def _uses_of(asked: Asked, racks: Racks) -> list[ClothUse]:
    pk = racks.kind.pk
    ways = []
    for width in racks.widths_mm:
        wanted = asked.wanted(pk, width)
        rows = served_with_new(racks, wanted)
        ways.append((sum(row.new_mm for row in rows), len(ways), wanted, rows))
        if not ways[-1][0]:
            break
    _, _, wanted, rows = min(ways)
    uses = (_use(pk, item, row) for item, row in zip(wanted, rows, strict=True))
    return [use for use in uses if use.length_mm or use.missing]


def _use(pk: int, item: ClothNeed, row: ServedJob) -> ClothUse:
    return ClothUse(
        pk,
        item.on,
        str(item.job),
        item.job.pk,
        here_mm=row.here_mm,
        coming_mm=row.coming_mm,
        new_mm=row.new_mm,
        new_rolls=row.new_rolls,
        missing=sum(count for _, count in row.missing) + sum(refusal.pieces for refusal in item.lay_up.refusals),
        chance_percent=item.job.chance_percent,
    )


def first_fit_shortages(uses: Iterable[ClothUse]) -> list[ClothShortage]:
    """What planned jobs are short of as a first fit has it; the planner may find that less is."""
    short: dict[int, list[ClothUse]] = {}
    for use in uses:
        if not use.is_quoted and (use.new_mm or use.missing):
            short.setdefault(use.reinforcement_id, []).append(use)
    return [
        ClothShortage(
            reinforcement_id=kind,
            pieces=sum(use.missing for use in lacking),
            length_mm=sum(use.new_mm for use in lacking),
            rolls=sum(use.new_rolls for use in lacking),
            needed_on=min(use.needed_on for use in lacking),
            for_jobs=tuple(dict.fromkeys(use.job for use in lacking)),
            reason="counted piece by piece",
        )
        for kind, lacking in short.items()
    ]


def quoted_uses(asked: Asked) -> list[ClothUse]:
    """What each quoted job would take if it came, by itself, of new rolls."""
    uses = []
    for item in asked.work:
        alone = Asked([item], (), asked.on, asked.shop)
        racks = {pk: Racks(kind, [], asked.shop) for pk, kind in alone.kinds.items()}
        alone.widths = {pk: rack.new_width_mm for pk, rack in racks.items()}
        for pk, rack in racks.items():
            wanted = alone.wanted(pk, rack.new_width_mm)
            uses += [_use(pk, wanted[0], row) for row in served_with_new(rack, wanted)]
    return uses


def _day(job: Job, on: datetime.date) -> datetime.date:
    return max(job.cut_on, on)
