"""A run of labels: what is printed, recorded, and drawn."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from labels.calc.label_content import ContainerLabel, Label, RollLabel
from labels.calc.sheet_geometry import Medium
from labels.drawing.layout import lay_out
from labels.media import next_free
from labels.models import LabelPrint, LabelWish, PrintMedium, PrintRun
from shopstock.models import Roll, Shop

from .label_of import Item, label_of, place_name
from .wanted import printed

Kind = LabelPrint.Kind


@dataclass(frozen=True)
class ToPrint:
    """One label of a run."""

    item: Item
    kind: str = Kind.OUTSIDE
    plain: bool = False

    def label(self, shop: Shop) -> Label:
        label = label_of(self.item, shop)
        if self.kind == Kind.TWIN:
            return replace(label, twin=True)
        return replace(label, pictograms=()) if self.plain and isinstance(label, ContainerLabel) else label


def to_print(items: Sequence[Item], *, copies: int = 1, twins: bool = False, plain: bool = False) -> list[ToPrint]:
    """Each label as often as wanted, the twin of a roll right behind it; an offcut has no tube."""
    wanted = []
    for item in items:
        wanted += copies * [ToPrint(item, plain=plain)]
        if twins and isinstance(item, Roll) and item.kind == Roll.Kind.ROLL:
            wanted.append(ToPrint(item, Kind.TWIN))
    return wanted


def check_printable(labels: Sequence[Label], sheet: Medium) -> None:
    """Raises LabelTooSmallError for the first kind of label that has no room on the sheet."""
    alike = {_size_of(label): label for label in labels}
    for label in alike.values():
        lay_out(label, sheet)


def _size_of(label: Label) -> tuple:
    """Labels alike in this take the same room at least."""
    hazards = (label.pictograms, label.litres) if isinstance(label, ContainerLabel) else ()
    warp = label.warp_along if isinstance(label, RollLabel) else None
    return type(label), len(label.payload), hazards, warp


@transaction.atomic
def record_run(
    *, wanted: Sequence[ToPrint], row: PrintMedium, first: int, by: AbstractBaseUser, at: datetime.datetime
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
    before = set(printed().filter(code__in={one.item.code for one in wanted}).values_list("code", "kind"))
    lines = []
    for number, one in enumerate(wanted, start=1):
        lines.append(
            LabelPrint(
                run=run,
                number=number,
                code=one.item.code,
                kind=one.kind,
                is_reprint=(one.item.code, one.kind) in before,
                place=place_name(one.item),
            )
        )
    LabelPrint.objects.bulk_create(lines)
    codes = [one.item.code for one in wanted]
    LabelWish.objects.filter(code__in=codes, run__isnull=True, dropped_at__isnull=True).update(run=run)
    PrintMedium.objects.filter(pk=row.pk).update(first_free=next_free(row.medium, first, len(wanted)))
    return run


@transaction.atomic
def spoil_run(*, run: PrintRun, at: datetime.datetime) -> None:
    """It came out wrong: its labels are wanted again. The labels of the sheet are used up all the same."""
    PrintRun.objects.filter(pk=run.pk, spoilt_at__isnull=True).update(spoilt_at=at)
    asked_since = LabelWish.objects.filter(run__isnull=True, dropped_at__isnull=True).values("code")
    LabelWish.objects.filter(run=run).exclude(code__in=list(asked_since.values_list("code", flat=True))).update(
        run=None
    )
