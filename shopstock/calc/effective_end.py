"""The day a container or a prepreg roll ends: the earliest of its dates, with the reason."""

from dataclasses import dataclass
from datetime import date, timedelta

LABEL, TESTED, OPEN_LIFE, OUT_TIME = "label", "tested", "open life", "out time"


@dataclass(frozen=True)
class End:
    """The last day of use, the date that decides it, and the reason in words."""

    on: date
    cause: str
    reason: str


def effective_end(
    *,
    label_date: date,
    extended_to: date | None = None,
    tested_on: date | None = None,
    opened_on: date | None = None,
    open_life_days: int | None = None,
    out_time_ends_on: date | None = None,
) -> End:
    """The earliest of the label's date (or what a passed test moved it to), the end of the open life and of out time.

    ``open_life_days`` in days after opening; a test passed after opening counts from then on in its place. Source:
    common practice for the order; class rules forbid use past the date. Worked: label 30 June, opened 2 March with 30
    days of open life → 1 April, "30 days after it was opened on …".
    """
    ends = [_by_date(label_date, extended_to, tested_on)]
    tested_since = tested_on is not None and opened_on is not None and tested_on >= opened_on
    if opened_on is not None and open_life_days is not None and not tested_since:
        since = f"{open_life_days} days after it was opened on {opened_on} (label: {label_date})"
        ends.append(End(opened_on + timedelta(days=open_life_days), OPEN_LIFE, since))
    if out_time_ends_on is not None:
        ends.append(End(out_time_ends_on, OUT_TIME, f"its time out of the freezer is used up (label: {label_date})"))
    return min(ends, key=lambda end: end.on)


def _by_date(label_date: date, extended_to: date | None, tested_on: date | None) -> End:
    if extended_to is None:
        return End(label_date, LABEL, "date on the label")
    return End(extended_to, TESTED, f"extended after a test on {tested_on} (label: {label_date})")
