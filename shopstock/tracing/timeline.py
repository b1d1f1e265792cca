"""Every line of both ledgers and every decision, in one order of time, from one query."""

import datetime

from django.db.models import QuerySet

from shopstock import uses
from shopstock.models import ContainerMovement, Movement, WatchDecision
from shopstock.timeline_columns import as_lines

CLOTH, RESIN, DECISION = "cloth", "resin", "decision"
DECIDED = (
    Movement.Kind.RELEASE,
    Movement.Kind.QUARANTINE,
    Movement.Kind.FAULT_CLEARED,
    Movement.Kind.FOLD,
    Movement.Kind.CORRECTION,
    Movement.Kind.RECOUNT,
)


def timeline(
    *,
    since: datetime.datetime | None = None,
    until: datetime.datetime | None = None,
    by: str = "",
    what: str = "",
    of: str = "",
) -> QuerySet:
    """The newest first. `what` is one of CLOTH, RESIN and DECISION, `of` a code."""
    found = [_narrow(lines, since=since, until=until, by=by, of=of) for lines in _lines(what)]
    return found[0].union(*found[1:], all=True).order_by("-line_at", "line_of", "line_kind")


def _lines(what: str) -> list[QuerySet]:
    cloth = Movement.objects.filter(kind__in=DECIDED) if what == DECISION else Movement.objects.all()
    lines = {
        CLOTH: [
            as_lines(
                cloth, at="recorded_at", by="by__username", kind="kind", of="roll__code", why="reason", where=CLOTH,
                change="delta_mm", left="balance_after_mm", unit="mm",
            )
        ],
        RESIN: [
            as_lines(
                ContainerMovement.objects.all(), at="recorded_at", by="by__username", kind="kind",
                of="container__code", why="reason", where=RESIN, change="delta_g", left="balance_after_g", unit="g",
            )
        ],
        DECISION: [
            as_lines(
                WatchDecision.objects.all(), at="at", by="by__username", kind="kind", of="warning", why="reason",
                where=DECISION,
            ),
            *uses.decisions(),
        ],
    }  # fmt: skip
    if what == DECISION:
        return [*lines[DECISION], *lines[CLOTH]]
    return lines[what] if what else [rows for kind in lines.values() for rows in kind]


def _narrow(lines: QuerySet, *, since, until, by: str, of: str) -> QuerySet:
    wanted = {"line_at__gte": since, "line_at__lt": until, "line_by": by, "line_of": of}
    return lines.filter(**{name: value for name, value in wanted.items() if value})
