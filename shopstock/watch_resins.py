import datetime
from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import partial

from . import demand
from .calc.effective_end import LABEL, OPEN_LIFE
from .calc.issue_order import Issue, Need, Stock, issue
from .calc.units import format_mass
from .expiry import IN_DATE, PAST, as_stock, reason_of, state_of
from .models import Chemical, Container, Shop
from .queries import open_containers
from .to_order_line import on_its_way_words
from .to_order_resin import ToBuy, planned_needs, resin_stock, to_buy
from .wanted import Wanted
from .watch_items import Severity, WatchItem, low_stock
from .watch_risk import container_at_risk, container_name

LOOK_AHEAD = 3  # times the warning window; a drum that lives longer than that may yet find its job


def ageing_resin(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Containers past their date, inside the warning window, or of which planned jobs leave something to die."""
    by_chemical: dict[int, list[Container]] = defaultdict(list)
    for container in open_containers():
        by_chemical[container.chemical_id].append(container)
    needs = planned_needs(on)
    for pk, containers in by_chemical.items():
        wanted = needs.get(pk, [])
        plan = issue(wanted, [as_stock(container) for container in containers])
        for container in containers:
            item = _warning(container, wanted, plan, on, shop)
            if item:
                yield item


def _warning(container: Container, wanted: Sequence[Need], plan: Issue, on, shop: Shop) -> WatchItem | None:
    state = state_of(container, on=on, warning_days=shop.resin_warning_days)
    if state == PAST:
        return _past(container, wanted, on, shop)
    if state != IN_DATE:
        return _ending(container, wanted, plan, on, shop, kind="resin_near", severity=Severity.SOON)
    horizon = on + datetime.timedelta(days=LOOK_AHEAD * shop.resin_warning_days)
    planned = bool(wanted) or _is_laid(container.chemical)
    if planned and container.expires_on <= horizon and plan.left_g[container.code]:
        return _ending(container, wanted, plan, on, shop, kind="resin_unused", severity=Severity.NOTE)
    return None


def _is_laid(chemical: Chemical) -> bool:
    """Whether it is a resin or gelcoat: hardener and catalyst left over are told of only when some job needs them."""
    return chemical.is_laminating_resin or chemical.kind == Chemical.Kind.GELCOAT


def _past(container: Container, wanted: Sequence[Need], on: datetime.date, shop: Shop) -> WatchItem:
    jobs = ", ".join(dict.fromkeys(need.purpose for need in wanted))
    days = (on - container.expires_on).days
    return WatchItem(
        kind="resin_opened" if container.end.cause == OPEN_LIFE else "resin_past",
        severity=Severity.URGENT,
        what=container_name(container, shop),
        cause=f"Ended on {container.expires_on}, {_days(days)} ago{_why(container)}.",
        to_do=f"Do not use it. Set it apart{_or_test(container)} and dispose of it with a waste note.",
        page="container",
        page_arg=container.code,
        since=container.expires_on,
        due=container.expires_on,
        at_risk=f"{jobs} must take other stock" if jobs else "",
        jobs=tuple(dict.fromkeys(need.purpose for need in wanted)),
        **container_at_risk(container, container.mass_g),
    )


def _ending(
    container: Container,
    wanted: Sequence[Need],
    plan: Issue,
    on: datetime.date,
    shop: Shop,
    *,
    kind: str,
    severity: Severity,
) -> WatchItem:
    lines = [line for line in plan.taken if line.code == container.code]
    jobs = ", ".join(dict.fromkeys(line.need.purpose for line in lines))
    taken = format_mass(sum(line.mass_g for line in lines), shop.units)
    left_g, ends = plan.left_g[container.code], container.expires_on
    later = list(dict.fromkeys(need.purpose for need in wanted if need.needed_on > ends))
    use = f"Use {format_mass(left_g, shop.units)} by {ends} or lose it." if left_g else f"Draw from it first: {jobs}."
    if left_g and later:
        use = f"{use} {later[0]} could take it now."
    return WatchItem(
        kind=kind,
        severity=severity,
        what=container_name(container, shop),
        cause=f"Ends on {ends}, {_ahead((ends - on).days)}{_why(container)}."
        + (f" Planned jobs take {taken} ({jobs})." if lines else ""),
        to_do=use,
        page="container",
        page_arg=container.code,
        since=container.received_on,
        due=ends,
        at_risk=f"{format_mass(left_g, shop.units)} of {container.chemical}" if left_g else "",
        jobs=tuple(dict.fromkeys(line.need.purpose for line in lines)),
        **container_at_risk(container, left_g),
    )


def _or_test(container: Container) -> str:
    return ", test it" if container.chemical.life_type == Chemical.Life.TESTED else ""


def _why(container: Container) -> str:
    """The label's own date needs no reason; another end does."""
    return "" if container.end.cause == LABEL else f": {reason_of(container)}"


def _days(number: int) -> str:
    return "1 day" if number == 1 else f"{number} days"


def _ahead(number: int) -> str:
    return "today" if number == 0 else f"in {_days(number)}"


def products_below_minimum(on: datetime.date, shop: Shop) -> Iterator[WatchItem]:
    """Products of which less is in date than the shop keeps."""
    kept = dict(Chemical.objects.filter(minimum_g__gt=0).values_list("pk", "minimum_g"))
    if not kept:
        return
    below = [pk for pk, stock in resin_stock(kept, on).items() if _in_date_g(stock, on) < kept[pk]]
    if below:
        for bought in to_buy(Wanted((), (), demand.resin_needs(on), ()), on, only=below):
            yield _product_below_minimum(bought, on, shop)


def _in_date_g(stock: Sequence[Stock], on: datetime.date) -> int:
    return sum(item.mass_g for item in stock if item.received_on <= on <= item.expires_on)


def _product_below_minimum(bought: ToBuy, on: datetime.date, shop: Shop) -> WatchItem:
    shown, there_g = partial(format_mass, system=shop.units), _in_date_g(bought.stock, on)
    coming_g = sum(item.mass_g for item in bought.stock if item.received_on > on)
    there = f"{shown(there_g)} in date{on_its_way_words(coming_g, shown)}"
    to_do, kept = _to_lift(bought, there_g + coming_g, on, shop), shown(bought.product.minimum_g)
    return low_stock(bought.product, there, kept, to_do, is_gone=not there_g, page="chemical", detail="product")


def _to_lift(bought: ToBuy, expected_g: int, on: datetime.date, shop: Shop) -> str:
    """What to do, as the list of what to order has it; nothing where an order lifts it."""
    lines = [line for kept in bought.for_minimum[:1] if kept.since <= on for line in kept.lines(on, shop)]
    if not lines:
        is_ordered = expected_g >= bought.product.minimum_g
        return "" if is_ordered else "Order what planned jobs need: what is over lifts it."
    if lines[0].packs == 0:
        return "Lower the minimum, or write an order by hand: a pack would die unused."
    return f"Order {' and '.join(line.buy for line in lines)}."
