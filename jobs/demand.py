"""What planned jobs need of the storeroom; registered with `shopstock.demand` when the program starts."""

import datetime
from collections.abc import Callable, Collection, Sequence

from django.core.cache import cache

from shopstock.arrivals import Arrival, cloth_on_its_way
from shopstock.demand import ClothShortage, ClothUse, LeastBlank, QuotedCuts, ResinNeed, SizeAsSold, SizeTried
from shopstock.models import Reinforcement, Shop, Supplier

from . import quoted_cuts as cuts
from . import sizes as new_sizes
from .asking import Asked
from .fingerprint import fingerprint
from .mix_parts import Seconds
from .models import Job
from .pieces import Piece, usable_width_mm
from .planning import reinforcements_of
from .queries import quoted_work
from .racks import ALL_ROLLS, FEW_ROLLS, cloth_on_racks
from .resin_need import resin_of_job, still_needs
from .shortages import shortage
from .uses import planned_uses, quoted_uses, set_aside_uses
from .work import Work, jobs_to_do, work_of, work_to_do

REMEMBERED_SECONDS = 24 * 3600


def _remembered(name: str, decided_by: tuple, answer: Callable[[], list]) -> list:
    """An answer kept for as long as nothing that decides it changes."""
    name = f"{name}-{fingerprint(decided_by)}"
    known = cache.get(name)
    if known is None:
        known = answer()
        cache.set(name, known, REMEMBERED_SECONDS)
    return known


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    coming = cloth_on_its_way(on)
    return _remembered("cloth-shortages", (on, coming), lambda: shortages_of(work_to_do(), coming, on))


def shortages_of(
    work: Sequence[Work], coming: Sequence[Arrival], on: datetime.date, kinds: Collection[int] | None = None
) -> list[ClothShortage]:
    """What these jobs, in this order, find short on the racks and among what is on its way; of `kinds` or all."""
    asked = Asked(work, coming, on, Shop.current())
    not_served = asked.not_served(cloth_on_racks(list(asked.kinds), asked.shop, FEW_ROLLS, on))
    unsure = [pk for pk in not_served if kinds is None or pk in kinds]
    more = cloth_on_racks(unsure, asked.shop, ALL_ROLLS, on) if unsure else {}
    found = (_least_short(asked, pk, more[pk]) for pk in unsure)
    return [short for short in found if short is not None]


def _least_short(asked: Asked, pk: int, cloth) -> ClothShortage | None:
    """None when the panels of any width come out of what is free; otherwise what the widest are short of."""
    racks = asked.racks(pk, cloth)
    ways = [asked.wanted(pk, width) for width in racks.widths_mm]
    shortages = []
    for number, wanted in enumerate(ways):
        if wanted not in ways[:number]:
            shortages.append(shortage(racks, wanted))
            if shortages[-1] is None:
                return None
    return shortages[0]


def cloth_uses(on: datetime.date) -> list[ClothUse]:
    coming = cloth_on_its_way(on)
    return _remembered("cloth-uses", (on, coming), lambda: uses_of(work_to_do(), coming, on))


def uses_of(work: Sequence[Work], coming: Sequence[Arrival], on: datetime.date) -> list[ClothUse]:
    """What these jobs take, and what each quoted job would."""
    shop = Shop.current()
    quoted = Asked(work_of(list(quoted_work())), (), on, shop)
    return [*set_aside_uses(work, on), *planned_uses(Asked(work, coming, on, shop)), *quoted_uses(quoted)]


def quoted_cloth(on: datetime.date) -> list[ClothUse]:
    return [use for use in cloth_uses(on) if use.is_quoted] if quoted_work().exists() else []


def quoted_cuts(on: datetime.date) -> list[QuotedCuts]:
    if not quoted_work().exists():
        return []
    short, coming = cloth_shortages(on), cloth_on_its_way(on)

    def answer() -> list[QuotedCuts]:
        return cuts.quoted_cuts(work_to_do(), work_of(list(quoted_work())), short, coming, on, Shop.current())

    lead_times = list(Supplier.objects.order_by("pk").values_list("pk", "lead_time_days"))
    return _remembered("quoted-cuts", (on, coming, short, lead_times), answer)


def try_sizes(reinforcement_id: int, sizes: Sequence[SizeAsSold], on: datetime.date) -> list[SizeTried]:
    kind = Reinforcement.objects.get(pk=reinforcement_id)
    name = (on, reinforcement_id, tuple(sizes))
    work = work_to_do()
    return _remembered("sizes-tried", name, lambda: new_sizes.try_sizes(kind, work, sizes, on, Shop.current()))


def resin_needs(on: datetime.date) -> list[ResinNeed]:
    return in_parts(jobs_to_do(), still_needs)


def quoted_resin(on: datetime.date) -> list[ResinNeed]:
    return in_parts(list(quoted_work()), lambda job, shop: resin_of_job(job, shop).needs(job))


def in_parts(jobs: Sequence[Job], mixes_of: Callable[[Job, Shop], list]) -> list[ResinNeed]:
    """Resin, gelcoat, hardener and catalyst, each by itself, for the mixes of these jobs."""
    if not jobs:
        return []
    shop, seconds = Shop.current(), Seconds.of_jobs(jobs)
    return [
        ResinNeed(chemical.pk, mass_g, job.cut_on, str(job), job.chance_percent)
        for job in jobs
        for chemical, mass_g in seconds.in_parts(job, mixes_of(job, shop), shop)
    ]


def least_blanks() -> dict[int, LeastBlank]:
    shop, work = Shop.current(), work_to_do()
    kinds = reinforcements_of(item.job for item in work)
    widths = {pk: max(1, usable_width_mm(kind.width_mm, shop)) for pk, kind in kinds.items()}
    sizes: dict[int, list[tuple[int, int]]] = {}
    for item in work:
        for piece in item.wanted(widths).pieces:
            size = _least_of(piece, widths[piece.reinforcement_id])
            sizes.setdefault(piece.reinforcement_id, []).append(size)
    more_mm = shop.cutting_allowance_mm
    return {
        kind: LeastBlank(min(along for along, _ in found) + more_mm, min(across for _, across in found))
        for kind, found in sizes.items()
    }


def _least_of(piece: Piece, width_mm: int) -> tuple[int, int]:
    """Along and across, each the less of the two where the piece may be turned and fits so."""
    if 90 in piece.turns and piece.along_mm <= width_mm:
        least = min(piece.along_mm, piece.across_mm)
        return least, least
    return piece.along_mm, piece.across_mm
