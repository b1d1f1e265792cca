import datetime
from collections import Counter
from collections.abc import Iterator
from functools import partial

from django.db.models import F, OuterRef, Q, Subquery

from . import demand
from .arrivals import cloth_on_its_way
from .calc.forms import CHOPPED_STRAND_MAT
from .calc.free_stretch import longest_free_stretch
from .calc.order_lines import whole
from .calc.units import format_length
from .models import Fault, Movement, Reinforcement, Roll, Shop
from .queries import open_rolls, usable_rolls, with_details
from .to_order_cloth import with_free_length
from .to_order_line import on_its_way_words
from .watch_items import Severity, WatchItem, low_stock
from .watch_risk import day_of, roll_at_risk, roll_name

LONG_AGO = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
FOLDS = (Fault.Cause.FOLD, Fault.Cause.CREASE)


def to_be_measured(shop: Shop) -> Iterator[WatchItem]:
    """Rolls that the ledger was wrong about; a roll that it takes for used up may be among them."""
    wrong = Roll.objects.filter(recount_since__gt=LONG_AGO)  # a range, so that the index is used
    for roll in wrong.select_related("reinforcement", "place").order_by("recount_since"):
        yield WatchItem(
            kind="to_measure",
            severity=Severity.SOON,
            what=roll_name(roll, shop),
            cause=f"{roll.recount_reason[0].upper()}{roll.recount_reason[1:]}.",
            to_do="Measure what is on it and enter the recount.",
            page="roll-recount",
            page_arg=roll.code,
            since=day_of(roll.recount_since),
        )


def folded_rolls(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Rolls that lie folded, and rolls with a fold or crease still on them."""
    creased = Q(faults__cause__in=FOLDS, faults__cleared_at__isnull=True, faults__from_mm__lt=F("length_mm"))
    rolls = open_rolls().filter(Q(lying=Roll.Lying.FOLDED) | creased).distinct()
    last_laid = Movement.objects.filter(roll=OuterRef("pk"), kind__in=("receipt", "offcut", "move"))
    since = Subquery(last_laid.order_by("-recorded_at", "-pk").values("happened_at")[:1])
    for roll in with_details(rolls).annotate(laid_at=since):
        yield _lying_folded(roll, shop) if roll.lying == Roll.Lying.FOLDED else _creased(roll, shop)


def _lying_folded(roll: Roll, shop: Shop) -> WatchItem:
    is_mat = roll.reinforcement.form == CHOPPED_STRAND_MAT
    cause = "mat bears a soft fold for a short time only" if is_mat else "a set fold breaks strands, sound as it looks"
    return WatchItem(
        kind="folded",
        severity=Severity.SOON if is_mat else Severity.URGENT,
        what=roll_name(roll, shop),
        cause=f"It lies folded: {cause}.",
        to_do="Unroll it flat, mark each fold as a fault, roll it on a tube, and note what it is good for.",
        page="roll",
        page_arg=roll.code,
        since=day_of(roll.laid_at),
        **roll_at_risk(roll, _promised(roll)),
    )


def _creased(roll: Roll, shop: Shop) -> WatchItem:
    folds = [fault for fault in roll.open_faults if fault.cause in FOLDS and fault.from_mm < roll.length_mm]
    where = "; ".join(_where(roll, fault, shop) for fault in sorted(folds, key=lambda fault: -fault.to_mm))
    return WatchItem(
        kind="folded",
        severity=Severity.SOON,
        what=roll_name(roll, shop),
        cause=f"{where}.",
        to_do="Cut around it: plans keep clear of the stretch. Keep the roll on its tube so that it does not spread.",
        page="roll",
        page_arg=roll.code,
        since=min(day_of(fault.found_at) for fault in folds),
        **roll_at_risk(roll, _promised(roll)),
    )


def _where(roll: Roll, fault: Fault, shop: Shop) -> str:
    start = format_length(max(0, roll.length_mm - fault.to_mm), shop.units)
    end = format_length(roll.length_mm - fault.from_mm, shop.units)
    return f"{fault.get_cause_display().capitalize()} {start} to {end} from the free end"


def _promised(roll: Roll) -> list[str]:
    return list(dict.fromkeys(promise.purpose for promise in roll.open_promises))


def long_quarantine(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Rolls in quarantine for more than the shop's number of days."""
    last = on - datetime.timedelta(days=shop.quarantine_warning_days)
    rolls = open_rolls().filter(condition=Roll.Condition.QUARANTINED, condition_since__isnull=False)
    for roll in rolls.order_by("condition_since"):
        since, reason = day_of(roll.condition_since), roll.condition_reason
        if since < last:
            yield WatchItem(
                kind="quarantine",
                severity=Severity.SOON,
                what=roll_name(roll, shop),
                cause=f"{reason[:1].upper()}{reason[1:]}. Quarantined since {since}, {(on - since).days} days.",
                to_do="Decide: cut the bad length away, send it back, or have the owner release it.",
                page="roll",
                page_arg=roll.code,
                since=since,
                due=since,
                **roll_at_risk(roll),
            )


def below_minimum(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Cloth in use of which less is free, on full rolls, than the shop keeps."""
    kinds = with_free_length(Reinforcement.objects.filter(active=True, minimum_mm__gt=0), on)
    coming = Counter()
    for rolls in cloth_on_its_way(on):
        coming[rolls.reinforcement_id] += rolls.count * rolls.length_mm
    for kind in kinds:
        if kind.free_mm < kind.minimum_mm:  # asked here: the database would add up what is free a second time
            yield _below_minimum(kind, coming[kind.pk], shop)


def _below_minimum(kind: Reinforcement, coming_mm: int, shop: Shop) -> WatchItem:
    shown = partial(format_length, system=shop.units)
    rolls = whole(max(0, kind.minimum_mm - kind.free_mm - coming_mm), kind.roll_length_mm)
    order = f"Order at least {rolls} roll{'' if rolls == 1 else 's'} of {shown(kind.roll_length_mm)}." if rolls else ""
    there, coming = f"{shown(kind.free_mm)} free on full rolls", on_its_way_words(coming_mm, shown)
    return low_stock(
        kind, f"{there}{coming}", shown(kind.minimum_mm), order, is_gone=not kind.free_mm, page="reinforcement"
    )


def short_ends(shop: Shop) -> Iterator[WatchItem]:
    """Usable rolls and offcuts whose longest free clean piece is shorter than any planned blank of that cloth."""
    shortest = {pk: blank.along_mm for pk, blank in demand.least_blanks().items() if blank.along_mm}
    free = F("length_mm") - F("set_aside_mm") - F("faulty_mm")
    rolls = usable_rolls().filter(reinforcement__in=shortest).annotate(all_free_mm=free).filter(all_free_mm__gt=0)
    broken = Q(faulty_mm__gt=0) | Q(set_aside_mm__gt=0) | Q(all_free_mm__lt=max(shortest.values(), default=0))
    for roll in with_details(rolls.filter(broken)):
        item = _short_end(roll, shortest[roll.reinforcement_id], shop)
        if item:
            yield item


def _short_end(roll: Roll, shortest_mm: int, shop: Shop) -> WatchItem | None:
    longest_mm = longest_free_stretch(roll.length_mm, roll.open_faults, roll.open_promises)
    if longest_mm >= shortest_mm:
        return None
    longest, shortest = format_length(longest_mm, shop.units), format_length(shortest_mm, shop.units)
    return WatchItem(
        kind="short_end",
        severity=Severity.NOTE,
        what=roll_name(roll, shop),
        cause=f"Longest free piece {longest}; the shortest planned piece of it is {shortest} long.",
        to_do="Keep it for patches and repairs, or cut it away as waste.",
        page="roll",
        page_arg=roll.code,
        since=roll.received_on,
    )
