from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from shopstock.listing import SafeExport
from shopstock.models import Shop, Supplier
from shopstock.roles import allow
from shopstock.to_order import OrderLine, order_lines

from .tables import OrderTable


@dataclass(frozen=True)
class Order:
    """The lines of one supplier (None: nobody sells them to us yet), the most pressing first."""

    supplier: Supplier | None
    lines: Sequence[OrderLine]
    table: OrderTable

    @property
    def cost(self) -> Decimal:
        return sum((line.cost for line in self.lines if line.cost is not None), Decimal(0))

    @property
    def without_cost(self) -> int:
        return sum(line.cost is None for line in self.lines)

    @property
    def late(self) -> int:
        return sum(line.days_late > 0 for line in self.lines)


def orders_of(lines: Sequence[OrderLine], shop: Shop) -> list[Order]:
    """Lines by supplier, in the order of their most pressing line; without a supplier last."""
    suppliers = sorted(dict.fromkeys(line.supplier for line in lines), key=lambda supplier: supplier is None)
    groups = [(supplier, [line for line in lines if line.supplier == supplier]) for supplier in suppliers]
    return [Order(supplier, group, table_of(group, shop)) for supplier, group in groups]


def table_of(lines: Sequence[OrderLine], shop: Shop) -> OrderTable:
    return OrderTable(lines, currency=shop.currency, units=shop.units)


@allow("order")
def ordering(request: HttpRequest) -> HttpResponse:
    shop, on = Shop.current(), timezone.localdate()
    lines = order_lines(on)
    if request.GET.get("_export") in ("csv", "xlsx"):
        return file_of(lines, shop, request.GET["_export"], f"to-order-{on}")
    return render(request, "ordering/ordering.html", {"orders": orders_of(lines, shop), "on": on})


@allow("order")
def ordering_file(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    shop, on = Shop.current(), timezone.localdate()
    lines = [line for line in order_lines(on) if line.supplier == supplier]
    return file_of(lines, shop, "csv", f"order-{supplier.pk}-{on}")


def file_of(lines: Sequence[OrderLine], shop: Shop, form: str, name: str) -> HttpResponse:
    return SafeExport(form, table_of(lines, shop)).response(f"{name}.{form}")
