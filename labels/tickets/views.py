from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from labels.calc.label_content import KitLabel
from labels.calc.qr_payload import ShopAddressError
from labels.calc.sheet_geometry import MediumError, SlotError, slots
from labels.drawing.arrangement import LabelTooSmallError
from labels.drawing.layout import lay_out
from labels.drawing.ticket import tickets_pdf
from labels.run_files import pdf_file, start_drawing
from labels.runs import record_run
from shopstock.models import Shop
from shopstock.roles import allow
from shopstock.tickets import Ticket, tickets_of

from .forms import KitForm
from .kits import cut_pieces

CANNOT_PRINT = (LabelTooSmallError, MediumError, ShopAddressError, SlotError)


def _tickets_or_404(plan: int) -> list[Ticket]:
    found = tickets_of(plan)
    if not found:
        raise Http404("There is no such plan any more. Open the job for the newest one.")
    return found


@allow("look")
def cut_tickets(request: HttpRequest, plan: int) -> HttpResponse:
    return _page(request, plan, KitForm())


def _page(request: HttpRequest, plan: int, form: KitForm) -> HttpResponse:
    tickets = _tickets_or_404(plan)
    context = {
        "plan": plan,
        "tickets": tickets,
        "job": tickets[0].job,
        "pieces": sum(len(ticket.blanks) for ticket in tickets),
        "form": form,
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
    return pdf_file(content, f"cut-tickets-{plan}.pdf")


@allow("print labels")
def kit_labels_pdf(request: HttpRequest, plan: int) -> HttpResponse:
    """Records what is printed and has it drawn, as for any other labels."""
    if request.method != "POST":
        return redirect("cut-tickets", plan)
    pieces, form, shop = cut_pieces(_tickets_or_404(plan)), KitForm(request.POST), Shop.current()
    try:
        labels = form.is_valid() and _drawable([piece.label(shop) for piece in pieces], form)
    except CANNOT_PRINT as error:
        form.add_error(None, str(error))
    if not form.is_valid():
        return _page(request, plan, form)
    row, first = form.cleaned_data["row"], form.cleaned_data["first"]
    lines = [piece.line for piece in pieces]
    run = record_run(lines=lines, row=row, first=first, by=request.user, at=timezone.now())
    start_drawing(run.pk, labels, row.medium, first)
    return redirect(run)


def _drawable(labels: list[KitLabel], form: KitForm) -> list[KitLabel]:
    """Nothing is written down that cannot be drawn; labels of pieces all take the same room at least."""
    slots(form.cleaned_data["row"].medium, form.cleaned_data["first"])
    for label in {(len(one.payload), one.warp_along): one for one in labels}.values():
        lay_out(label, form.cleaned_data["row"].medium)
    return labels
