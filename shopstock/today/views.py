from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from shopstock.last_backup import last_backup
from shopstock.models import Shop
from shopstock.roles import allow, may, role_of
from shopstock.to_order import order_lines
from shopstock.watch import KINDS
from shopstock.watch_answers import watched

from .cuts import work_to_cut
from .groups import group_of, watch_groups

CUTS, ORDERS = "cuts", "orders"  # planning what to buy takes a moment, so Today brings it in once the rest stands


@allow("look")
def today(request: HttpRequest) -> HttpResponse:
    only = request.GET.get("all")
    if only not in (None, CUTS, ORDERS, *KINDS):
        raise Http404
    on = timezone.localdate()
    if request.GET.get("part") == ORDERS:
        return render(request, "today/orders.html", {"orders": _orders(request, only, on)})
    context = {
        "on": on,
        "only": only,
        "cuts": _cuts(only),
        **_watched(request, only, on),
        "orders": _orders(request, only, on) if only == ORDERS else None,
        **_backup(request, only),
        "orders_later": only is None and may(request.user, "order"),
    }
    return render(request, "today/today.html", context)


def _backup(request: HttpRequest, only: str | None) -> dict:
    """When the shop was last backed up, for whoever can see to it; a demo has nothing to lose."""
    if only is not None or not may(request.user, "change settings") or Shop.current().is_demo:
        return {}
    last = last_backup()
    if last is None or last.made_at is None:
        return {"backup": last, "backup_state": "none"}
    state = "old" if last.is_old(timezone.now()) else "failing" if last.problem else "ok"
    return {"backup": last, "backup_state": state}


def _cuts(only: str | None):
    return group_of(CUTS, "To cut", work_to_cut(), show_all=only == CUTS) if only in (None, CUTS) else None


def _watched(request: HttpRequest, only: str | None, on) -> dict:
    """Warnings that nobody has answered; how many were answered is said beside them."""
    if only not in (None, *KINDS):
        return {"watched": None}
    role = role_of(request.user)
    found = watched(role, on, timezone.localtime())
    open_items = [one.item for one in found if one.answer is None]
    return {"watched": watch_groups(open_items, role, only=only), "answered": len(found) - len(open_items)}


def _orders(request: HttpRequest, only: str | None, on):
    if only not in (None, ORDERS) or not may(request.user, "order"):
        return None
    return group_of(ORDERS, "To order", order_lines(on), show_all=only == ORDERS)
