from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.buying import Buying, buying_of, first_order
from shopstock.fields import KeyedForm, new_form_key
from shopstock.listing import SafeExport
from shopstock.models import Order as Written
from shopstock.models import Shop, Supplier
from shopstock.roles import allow
from shopstock.sizes_sold import currency_of
from shopstock.to_order import order_lines
from shopstock.to_order_line import OrderLine

from .actions import OrderError, write_order
from .queries import late_orders, open_orders
from .tables import OrderTable


@dataclass(frozen=True)
class Order:
    """The lines of one supplier (None: nobody sells them to us yet), the most pressing first."""

    supplier: Supplier | None
    lines: Sequence[OrderLine]
    table: OrderTable
    currency: str
    buying: Buying | None = None
    drafts: Sequence[Written] = ()

    @property
    def cost(self) -> Decimal:
        return sum((line.cost for line in self.lines if line.cost is not None), Decimal(0))

    @property
    def without_cost(self) -> int:
        return sum(line.cost is None for line in self.lines)

    @property
    def late(self) -> int:
        return sum(line.days_late > 0 for line in self.lines)

    @property
    def can_be_written(self) -> bool:
        return self.supplier is not None and any(line.packs for line in self.lines)


def orders_of(lines: Sequence[OrderLine], written: Sequence[Written], on: date, shop: Shop) -> list[Order]:
    """Lines by supplier, in the order of their most pressing line; without a supplier last."""
    suppliers = sorted(dict.fromkeys(line.supplier for line in lines), key=lambda supplier: supplier is None)
    drafts = [order for order in written if order.state == Written.State.DRAFT]
    return [
        _order(
            supplier,
            [line for line in lines if line.supplier == supplier],
            [draft for draft in drafts if draft.supplier == supplier],
            on,
            shop,
        )
        for supplier in suppliers
    ]


def _order(
    supplier: Supplier | None, lines: Sequence[OrderLine], drafts: Sequence[Written], on: date, shop: Shop
) -> Order:
    currency = currency_of(supplier, shop)
    buying = buying_of(supplier, lines, on, shop) if supplier else None
    return Order(supplier, lines, table_of(lines, shop), currency, buying, drafts)


def table_of(lines: Sequence[OrderLine], shop: Shop) -> OrderTable:
    return OrderTable(lines, currency=shop.currency, units=shop.units)


@allow("order")
def ordering(request: HttpRequest) -> HttpResponse:
    shop, on = Shop.current(), timezone.localdate()
    lines = order_lines(on)
    if request.GET.get("_export") in ("csv", "xlsx"):
        return file_of(lines, shop, request.GET["_export"], f"to-order-{on}")
    written = open_orders(on)
    context = {
        "orders": orders_of(lines, written, on, shop),
        "on": on,
        "key": new_form_key(),
        "open_orders": written,
        "late": late_orders(on),
    }
    return render(request, "ordering/ordering.html", context)


@allow("order")
def ordering_file(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    shop, on = Shop.current(), timezone.localdate()
    lines = [line for line in order_lines(on) if line.supplier == supplier]
    return file_of(lines, shop, "csv", f"order-{supplier.pk}-{on}")


def file_of(lines: Sequence[OrderLine], shop: Shop, form: str, name: str) -> HttpResponse:
    return SafeExport(form, table_of(lines, shop)).response(f"{name}.{form}")


@allow("order")
@require_POST
def write(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft of the first delivery of the plan, or of every line where there is no plan."""
    supplier = get_object_or_404(Supplier, pk=pk)
    posted = KeyedForm({"key": request.POST.get("key") or new_form_key()})
    if not posted.is_valid():
        messages.error(request, "The page was damaged. Write the order from this one.")
        return redirect("ordering")
    shop, at = Shop.current(), timezone.now()
    on = timezone.localdate(at)
    lines = [line for line in order_lines(on) if line.supplier == supplier and line.packs]
    buying = buying_of(supplier, lines, on, shop)
    wanted, comes_by = first_order(lines, buying, on)
    try:
        order = write_order(
            supplier=supplier,
            lines=wanted,
            expected_on=comes_by,
            by=request.user,
            at=at,
            key=posted.cleaned_data["key"],
        )
    except OrderError as error:
        messages.error(request, str(error))
        return redirect("ordering")
    messages.success(request, f"Order {order.number} to {supplier} is written. Check it, then approve it.")
    return redirect(order)
