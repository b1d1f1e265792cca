"""A run of labels is written down before it is drawn: what is printed, for the first time or again, and on what."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import QuerySet

from .media import next_free
from .models import LabelPrint, LabelWish, PrintMedium, PrintRun

Kind = LabelPrint.Kind


@dataclass(frozen=True)
class Line:
    """One label of a run: whose code it bears, of which kind, the place or the cut piece that it names."""

    code: str
    kind: str = Kind.OUTSIDE
    place: str = ""
    piece: str = ""


def printed() -> QuerySet[LabelPrint]:
    """The labels that did not come out wrong."""
    return LabelPrint.objects.filter(run__spoilt_at__isnull=True)


@transaction.atomic
def record_run(
    *, lines: Sequence[Line], row: PrintMedium, first: int, by: AbstractBaseUser, at: datetime.datetime
) -> PrintRun:
    """Write down what is printed: reprints as such, wishes as fulfilled, the sheet as used so far."""
    run = PrintRun.objects.create(
        medium=row,
        medium_name=row.name,
        measures={name: getattr(row, name) for name in PrintMedium.MEASURES},
        first=first,
        by=by,
        at=at,
    )
    before = set(printed().filter(code__in={line.code for line in lines}).values_list("code", "kind", "piece"))
    LabelPrint.objects.bulk_create(
        LabelPrint(
            run=run,
            number=number,
            code=line.code,
            kind=line.kind,
            is_reprint=(line.code, line.kind, line.piece) in before,
            place=line.place,
            piece=line.piece,
        )
        for number, line in enumerate(lines, start=1)
    )
    fulfilled = [line.code for line in lines if line.kind != Kind.PIECE]
    LabelWish.objects.filter(code__in=fulfilled, run__isnull=True, dropped_at__isnull=True).update(run=run)
    PrintMedium.objects.filter(pk=row.pk).update(first_free=next_free(row.medium, first, len(lines)))
    return run


@transaction.atomic
def spoil_run(*, run: PrintRun, at: datetime.datetime) -> None:
    """It came out wrong: its labels are wanted again. The labels of the sheet are used up all the same."""
    PrintRun.objects.filter(pk=run.pk, spoilt_at__isnull=True).update(spoilt_at=at)
    asked_since = LabelWish.objects.filter(run__isnull=True, dropped_at__isnull=True).values("code")
    LabelWish.objects.filter(run=run).exclude(code__in=list(asked_since.values_list("code", flat=True))).update(
        run=None
    )
