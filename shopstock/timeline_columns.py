"""The columns that every kind of line brings to the timeline, so that the database can put them in one order."""

from django.db.models import CharField, F, IntegerField, QuerySet, Value
from django.db.models.functions import Cast

COLUMNS = ("line_at", "line_by", "line_kind", "line_of", "line_change", "line_left", "line_unit", "line_why", "line_in")


def as_lines(
    rows: QuerySet, *, at: str, by: str, kind, of, why, where: str, change=None, left=None, unit: str = ""
) -> QuerySet:
    """`rows` with the timeline's columns; names are of fields, other values are taken as they are."""
    return (
        rows.order_by()
        .annotate(
            line_at=F(at),
            line_by=F(by),
            line_kind=_text(kind),
            line_of=_text(of),
            line_change=_number(change),
            line_left=_number(left),
            line_unit=_text(Value(unit)),
            line_why=_text(why),
            line_in=_text(Value(where)),
        )
        .values(*COLUMNS)
    )


def _text(what):
    return Cast(F(what) if isinstance(what, str) else what, CharField(max_length=400))


def _number(what):
    return Cast(F(what) if isinstance(what, str) else Value(None), IntegerField())
