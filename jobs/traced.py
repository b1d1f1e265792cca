"""What jobs tell whoever traces stock: the parts that a set-aside length went into, and decisions made in jobs."""

from collections.abc import Collection

from django.db.models import F, QuerySet, Value
from django.db.models.functions import Concat
from django.urls import reverse

from shopstock.timeline_columns import as_lines
from shopstock.uses import Use

from .models import CuttingPlan, Job, Mix, MixDraw, MixPly, PlannedBlank, Precedence, StandIn


def uses_of_set_asides(numbers: Collection[int]) -> dict[int, list[Use]]:
    blanks = (
        PlannedBlank.objects.filter(strip__set_aside__in=numbers)
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


def uses_of_draws(numbers: Collection[int]) -> dict[int, list[Use]]:
    draws = MixDraw.objects.filter(movement__in=numbers).select_related("mix__job")
    plies: dict[int, dict[int | None, list[MixPly]]] = {}
    for laid in MixPly.objects.filter(mix__draws__in=draws).distinct().select_related("ply__part").order_by("pk"):
        plies.setdefault(laid.mix_id, {}).setdefault(laid.ply and laid.ply.part_id, []).append(laid)
    return {draw.movement_id: _uses_of_pot(draw.mix, plies.get(draw.mix_id, {})) for draw in draws}


def _uses_of_pot(mix: Mix, by_part: dict[int | None, list[MixPly]]) -> list[Use]:
    """A pot is for the plies that were named; one that names none, or plies taken out since, is for its job."""
    if not by_part:
        return [Use(job=mix.job.name, part="", pieces=(), address=reverse("job", args=[mix.job_id]))]
    return [
        Use(
            job=mix.job.name,
            part=laid[0].ply.part.name if part else "",
            pieces=tuple(ply.name for ply in laid),
            address=reverse("part-history", args=[part]) if part else reverse("job", args=[mix.job_id]),
        )
        for part, laid in by_part.items()
    ]


def decisions() -> list[QuerySet]:
    """Stand-ins laid, plans confirmed, quotes taken on, and jobs let go before others."""
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
    taken_on = as_lines(
        Job.objects.filter(taken_on_at__isnull=False),
        at="taken_on_at",
        by="taken_on_by__username",
        kind=Value("job taken on"),
        of="name",
        why=Value(""),
        where="decision",
    )
    return [stand_ins, plans, taken_on, *_precedences()]


def _precedences() -> list[QuerySet]:
    """Each decision that one job gets cloth before another, and each that was taken back."""
    columns = {"of": "first__name", "where": "decision"}
    let_before = as_lines(
        Precedence.objects.all(),
        at="at",
        by="by__username",
        kind=Value("job goes before another"),
        why=Concat(Value("before "), F("then__name"), Value(": "), F("reason")),
        **columns,
    )
    taken_back = as_lines(
        Precedence.objects.filter(taken_back_at__isnull=False),
        at="taken_back_at",
        by="taken_back_by__username",
        kind=Value("goes before another no more"),
        why=Concat(Value("before "), F("then__name")),
        **columns,
    )
    return [let_before, taken_back]
