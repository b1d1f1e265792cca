from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from labels.calc.qr_payload import ShopAddressError
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.pdf import labels_pdf
from labels.drawing.ticket import tickets_pdf
from shopstock.models import Shop
from shopstock.roles import allow
from shopstock.tickets import Ticket, tickets_of

from .forms import KitForm
from .kits import kit_labels


def _tickets_or_404(plan: int) -> list[Ticket]:
    found = tickets_of(plan)
    if not found:
        raise Http404("There is no such plan any more. Open the job for the newest one.")
    return found


@allow("look")
def cut_tickets(request: HttpRequest, plan: int) -> HttpResponse:
    tickets = _tickets_or_404(plan)
    context = {
        "plan": plan,
        "tickets": tickets,
        "job": tickets[0].job,
        "pieces": sum(len(ticket.blanks) for ticket in tickets),
        "form": KitForm(request.GET),
    }
    return render(request, "tickets/tickets.html", context)


@allow("print labels")
def cut_tickets_pdf(request: HttpRequest, plan: int) -> HttpResponse:
    shop = Shop.current()
    try:
        content = tickets_pdf(_tickets_or_404(plan), address=shop.address, units=shop.units)
    except ShopAddressError as error:
        messages.error(request, str(error))
        return redirect("cut-tickets", plan)
    return _pdf(content, f"cut-tickets-{plan}.pdf")


@allow("print labels")
def kit_labels_pdf(request: HttpRequest, plan: int) -> HttpResponse:
    form = KitForm(request.GET)
    labels = kit_labels(_tickets_or_404(plan), Shop.current())
    if not form.is_valid():
        messages.error(request, " ".join(error for errors in form.errors.values() for error in errors))
        return redirect("cut-tickets", plan)
    try:
        content = labels_pdf(labels, form.cleaned_data["row"].medium, form.cleaned_data["first"])
    except (LabelTooSmallError, ShopAddressError, ValueError) as error:
        messages.error(request, str(error))
        return redirect("cut-tickets", plan)
    return _pdf(content, f"kit-labels-{plan}.pdf")


def _pdf(content: bytes, file_name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
