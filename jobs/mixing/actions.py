from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from jobs.models import Job, Ply
from jobs.plans import lock_job, require_planned_work


@transaction.atomic
def set_fractions(*, job: Job, fractions: Mapping[Ply, Decimal | None]) -> int:
    """Give plies their own fibre share, or the usual one back; returns how many changed."""
    require_planned_work(lock_job(job))
    changed = [ply for ply, fraction in fractions.items() if ply.fibre_mass_fraction != fraction]
    for ply in changed:
        Ply.objects.filter(pk=ply.pk).update(fibre_mass_fraction=fractions[ply])
    return len(changed)
