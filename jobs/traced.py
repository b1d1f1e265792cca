"""What jobs tell whoever traces stock: the parts that a set-aside length went into, and decisions made in jobs."""

from collections.abc import Iterable

from django.db.models import F, QuerySet, Value
from django.db.models.functions import Concat
from django.urls import reverse

from shopstock.timeline_columns import as_lines
from shopstock.uses import Use

from .models import CuttingPlan, PlannedBlank, StandIn


def uses_of_set_asides(numbers: Iterable[int]) -> dict[int, list[Use]]:
    blanks = (
        PlannedBlank.objects.filter(strip__set_aside__in=list(numbers))
        .select_related("ply__part__job")
        .annotate(set_aside_number=F("strip__set_aside"))
        .order_by("pk")
    )
    pieces: dict[tuple[int, int], list[PlannedBlank]] = {}
    for blank in blanks:
        pieces.setdefault((blank.set_aside_number, blank.ply.part_id), []).append(blank)
    found: dict[int, list[Use]] = {}
    for (number, _), of_part in pieces.items():
        part = of_part[0].ply.part
        use = Use(
            job=part.job.name,
            part=part.name,
            pieces=tuple(blank.name for blank in of_part),
            address=reverse("part-history", args=[part.pk]),
        )
        found.setdefault(number, []).append(use)
    return found


def decisions() -> list[QuerySet]:
    """Stand-ins laid in place of what was specified, and plans confirmed."""
    stand_ins = as_lines(
        StandIn.objects.all(),
        at="at",
        by="by__username",
        kind=Concat(Value("stand-in, class "), F("grade")),
        of="job__name",
        why=Concat(F("part_name"), Value(": "), F("why")),
        where="decision",
    )
    plans = as_lines(
        CuttingPlan.objects.filter(confirmed_at__isnull=False),
        at="confirmed_at",
        by="confirmed_by__username",
        kind=Value("plan confirmed"),
        of="job__name",
        why=Value(""),
        where="decision",
    )
    return [stand_ins, plans]
