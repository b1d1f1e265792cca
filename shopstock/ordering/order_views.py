from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.listing import SafeExport, list_page
from shopstock.models import DeliveredItem, Delivery, Order, OrderLine, Shop
from shopstock.roles import allow

from . import actions
from .deliveries import differences, price_words
from .forms import DayForm, LineForm, NewOrderForm, OrderTermsForm
from .paper import order_as_pdf
from .queries import with_counts
from .tables import OrderLineTable, OrderListFilter, OrderListTable
from .words import mail_address, order_words, subject


@allow("receive")
def orders(request: HttpRequest) -> HttpResponse:
    return list_page(
        request,
        table_class=OrderListTable,
        rows=with_counts(Order.objects.all()).order_by("-made_at", "-pk"),
        filter_class=OrderListFilter,
        template="ordering/orders.html",
        file_name="orders",
    )


@allow("order")
def add_order(request: HttpRequest) -> HttpResponse:
    form = NewOrderForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = actions.new_order(
            supplier=form.cleaned_data["supplier"],
            expected_on=None,
            by=request.user,
            at=timezone.now(),
            key=form.cleaned_data["key"],
        )
        messages.success(request, f"Order {made.number} is begun. Add what to buy.")
        return redirect(made)
    return render(request, "ordering/form.html", {"form": form, "title": "Write an order", "back": "ordering"})


@allow("receive")
def order(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order.objects.select_related("supplier", "made_by", "approved_by"), pk=pk)
    lines = list(found.lines.select_related("reinforcement", "chemical"))
    shop, on = Shop.current(), timezone.localdate()
    items = list(_items(found))
    context = {
        "order": found,
        "lines": [(line, sum(item.line_id == line.pk for item in items)) for line in lines],
        "goods": actions.cost_of(lines),
        "days_late": found.days_late(on),
        "on": on,
        "deliveries": _deliveries(found, items, shop.units),
    }
    return render(request, "ordering/order.html", context)


def _items(order: Order):
    items = DeliveredItem.objects.filter(delivery__order=order)
    return items.select_related("roll__reinforcement", "container__chemical", "line__reinforcement", "line__chemical")


def _deliveries(order: Order, items: list[DeliveredItem], units: str) -> list[tuple[Delivery, list[tuple]]]:
    """Each delivery with its items and what differs from the order, the price as well."""
    return [
        (
            delivery,
            [
                (item, [*differences(item.line, item.item, units), *filter(None, [price_words(item, order.currency)])])
                for item in items
                if item.delivery_id == delivery.pk
            ],
        )
        for delivery in order.deliveries.select_related("by")
    ]


@allow("order")
def edit_terms(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    form = OrderTermsForm(request.POST or None, instance=found, today=timezone.localdate())
    title = f"Order {found.number}: day, freight and duty"
    return _saved(request, form, lambda: actions.save_terms(order=form.instance), found, title)


@allow("order")
def edit_day(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    initial = {"expected_on": found.expected_on}
    form = DayForm(request.POST or None, initial=initial, today=timezone.localdate())
    title = f"Order {found.number}: another day"
    return _saved(
        request,
        form,
        lambda: actions.change_day(order=found, expected_on=form.cleaned_data["expected_on"]),
        found,
        title,
    )


@allow("order")
def add_line(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    form = LineForm(request.POST or None, instance=OrderLine(order=found), currency=found.currency)
    title = f"Order {found.number}: add a line"
    return _saved(request, form, lambda: actions.save_line(line=form.instance), found, title)


@allow("order")
def edit_line(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(OrderLine.objects.select_related("order"), pk=pk)
    form = LineForm(request.POST or None, instance=line, currency=line.order.currency)
    title = f"Order {line.order.number}: change a line"
    return _saved(request, form, lambda: actions.save_line(line=form.instance), line.order, title)


def _saved(request: HttpRequest, form, save: Callable[[], object], order: Order, title: str) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            save()
        except actions.OrderError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Order {order.number} is saved.")
            return redirect(order)
    return render(request, "ordering/form.html", {"form": form, "title": title, "order": order})


@allow("order")
@require_POST
def remove_line(request: HttpRequest, pk: int) -> HttpResponse:
    line = OrderLine.objects.select_related("order").filter(pk=pk).first()
    if line is None:  # a second tap, or another person was quicker
        messages.info(request, "That line is off its order already.")
        return redirect("orders")
    return _done(
        request,
        line.order,
        lambda: actions.remove_line(line=line),
        f"{line.material} is off order {line.order.number}.",
    )


@allow("order")
@require_POST
def approve_order(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    done = f"Order {found.number} is approved and counts as coming. Now send it."
    return _done(request, found, lambda: actions.approve(order=found, by=request.user, at=timezone.now()), done)


@allow("order")
@require_POST
def order_sent(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    return _done(
        request, found, lambda: actions.mark_sent(order=found, at=timezone.now()), f"Order {found.number} is sent."
    )


@allow("order")
@require_POST
def cancel_order(request: HttpRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(Order, pk=pk)
    done = f"Nothing more is expected of order {found.number}."
    return _done(request, found, lambda: actions.cancel(order=found, at=timezone.now()), done)


def _done(request: HttpRequest, order: Order, act: Callable[[], object], words: str) -> HttpResponse:
    try:
        act()
    except actions.OrderError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, words)
    return redirect(order)


def _with_lines(pk: int) -> tuple[Order, list[OrderLine]]:
    found = get_object_or_404(Order.objects.select_related("supplier", "approved_by"), pk=pk)
    return found, list(found.lines.select_related("reinforcement", "chemical"))


@allow("order")
def order_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    found, lines = _with_lines(pk)
    response = HttpResponse(order_as_pdf(found, lines, Shop.current()), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="order-{found.number}.pdf"'
    return response


@allow("order")
def order_csv(request: HttpRequest, pk: int) -> HttpResponse:
    found, lines = _with_lines(pk)
    return SafeExport("csv", OrderLineTable(lines, order=found)).response(f"order-{found.number}.csv")


@allow("order")
def order_text(request: HttpRequest, pk: int) -> HttpResponse:
    """The order as the text of an e-mail, ready to send from the shop's own mail program."""
    found, lines = _with_lines(pk)
    shop = Shop.current()
    text = order_words(found, lines, shop)
    context = {"order": found, "subject": subject(found, shop), "text": text, "mail": mail_address(found, text, shop)}
    return render(request, "ordering/order_text.html", context)
