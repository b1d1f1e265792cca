"""The area of the pieces in planned strips; registered with `shopstock.part_use` when the program starts."""

from collections import defaultdict
from collections.abc import Collection

from django.db.models import F, Sum

from shopstock.part_use import PartUse

from .models import Job, PlannedBlank

AT_ONCE = 500


def parts_of(set_aside_ids: Collection[int]) -> dict[int, tuple[PartUse, ...]]:
    """A strip may give pieces for several jobs."""
    wanted, found = sorted(set_aside_ids), defaultdict(list)
    for start in range(0, len(wanted), AT_ONCE):
        blanks = PlannedBlank.objects.filter(strip__set_aside__in=wanted[start : start + AT_ONCE])
        sums = blanks.values_list("strip__set_aside", "ply__part__job").order_by("strip__set_aside", "ply__part__job")
        for set_aside, job, area_mm2 in sums.annotate(area=Sum(F("across_mm") * F("along_mm"))):
            found[set_aside].append((job, area_mm2))
    names = {job.pk: str(job) for job in Job.objects.filter(pk__in={job for uses in found.values() for job, _ in uses})}
    return {pk: tuple(PartUse(names[job], area) for job, area in uses) for pk, uses in found.items()}
