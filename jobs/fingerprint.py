"""A short name for everything that decides what planned work needs: while it stays the same, so does the answer."""

import hashlib

from django.db.models import Count, Q, Sum

from shopstock.models import CutHabit, Layer, Reinforcement, Roll, SetAside, Shop

from .models import CuttingPlan, Job, Part, Ply
from .queries import standing_precedences

PLANNED = (Job.State.DRAFT, Job.State.READY)


def fingerprint(on) -> str:
    """Jobs, plies, plans, materials and settings as they stand, and how often the ledger has written to a roll.

    The ledger raises a roll's version with everything it writes and no roll is ever removed, so that the number of
    rolls and the sum of their versions cannot be the same before and after.
    """
    jobs = Job.objects.filter(state__in=PLANNED)
    plies = Ply.objects.filter(part__job__in=jobs)
    kinds = Reinforcement.objects.filter(pk__in=plies.values("reinforcement"))
    plans = CuttingPlan.objects.filter(Q(job__in=jobs) | Q(also__in=jobs)).distinct()
    parts = (
        [on, Roll.objects.aggregate(Count("pk"), Sum("version"))],
        *(
            list(rows.order_by("pk").values_list())
            for rows in (
                jobs,
                Part.objects.filter(job__in=jobs),
                plies,
                kinds,
                Layer.objects.filter(reinforcement__in=kinds),
                CutHabit.objects.all(),
                Shop.objects.all(),
            )
        ),
        list(standing_precedences().order_by("pk").values_list("first", "then")),
        list(plans.order_by("pk").values_list("pk", "state")),
        SetAside.objects.filter(planned_strip__plan__in=plans).aggregate(
            open=Count("pk", filter=Q(state=SetAside.State.OPEN)), cut=Count("pk", filter=Q(state=SetAside.State.CUT))
        ),
    )
    return hashlib.sha256(repr(parts).encode()).hexdigest()
