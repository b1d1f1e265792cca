from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shopstock.models import Order, OrderLine, Shop
from shopstock.roles import allow

from .actions import OrderError
from .deliveries import candidates, open_lines_of, take_in
from .deliveries import close_line as close
from .forms import DeliveryForm


@allow("receive")
def came(request: HttpRequest, pk: int) -> HttpResponse:
    """Match rolls and containers that are logged already to the lines of an order."""
    order = get_object_or_404(Order.objects.select_related("supplier"), pk=pk)
    shop, at = Shop.current(), timezone.now()
    today = timezone.localdate(at)
    found = candidates(order, shop.units) if order.is_on_its_way else []
    form = DeliveryForm(
        request.POST or None,
        candidates=found,
        currency=order.currency,
        today=today,
        initial={
            "received_on": today,
            "freight": order.freight if not order.deliveries.exists() else 0,
            "duty_percent": order.duty_percent,
            "handling": order.handling if not order.deliveries.exists() else 0,
        },
    )
    if request.method == "POST" and form.is_valid():
        try:
            delivery = take_in(
                order=order,
                found=form.found(),
                received_on=form.cleaned_data["received_on"],
                paper=form.cleaned_data["paper"],
                by=request.user,
                at=at,
                key=form.cleaned_data["key"],
                **form.charges(),
            )
        except OrderError as error:
            form.add_error(None, str(error))
        else:
            count = delivery.items.count()
            messages.success(request, f"{count} {'item' if count == 1 else 'items'} booked on order {order.number}.")
            return redirect(order)
    context = {"order": order, "form": form, "open_lines": open_lines_of(order)}
    return render(request, "ordering/came.html", context)


@allow("order")
@require_POST
def close_line(request: HttpRequest, pk: int) -> HttpResponse:
    line = get_object_or_404(OrderLine.objects.select_related("order"), pk=pk)
    try:
        close(line=line, at=timezone.now())
    except OrderError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"No more {line.material} is expected of order {line.order.number}.")
    return redirect(line.order)
