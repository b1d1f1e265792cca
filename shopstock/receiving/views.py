from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock.ledger import LedgerError
from shopstock.models import Shop
from shopstock.roles import allow

from .actions import Arrived, receive_rolls, rolls_of_delivery
from .forms import ReceiveForm, RollRowForm, rows_for

# What an address may fill in, such as that of a scanned delivery; the form checks it like anything typed.
MAY_BE_GIVEN = ("reinforcement", "supplier", "lot", "width", "length", "gross", "splices_told", "note")


@allow("receive")
def receive(request: HttpRequest) -> HttpResponse:
    shop = Shop.current()
    form = ReceiveForm(
        request.POST or None,
        initial={name: request.GET[name] for name in MAY_BE_GIVEN if name in request.GET},
        units=shop.units,
        currency=shop.currency,
        today=timezone.localdate(),
    )
    ready = request.method == "POST" and form.is_valid()
    rows = rows_for(form) if ready or "roll1-length" in request.POST else []
    arrived = _arrived(form, rows) if ready else None
    if arrived:
        try:
            rolls = receive_rolls(
                arrived=arrived, findings=form.findings(), by=request.user, at=timezone.now(), **form.common()
            )
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _logged(len(rolls), form.cleaned_data["reinforcement"]))
            return redirect("receipt", form.cleaned_data["key"])
    fresh = any(not row.is_bound for row in rows)
    wrong = [field for one in (form, *rows) for field in one if field.errors and not field.is_hidden]
    found = ready and form.findings().anything
    context = {"form": form, "rows": rows, "ask_rows": ready and fresh, "found": found, "wrong_fields": wrong}
    return render(request, "receiving/receive.html", context)


def _arrived(form: ReceiveForm, rows: list[RollRowForm]) -> list[Arrived] | None:
    """The rolls as typed, or None while rows are missing or wrong."""
    found = form.findings().anything
    if not rows:
        return [form.arrived(damaged=found)]
    for row in rows:
        if row.is_valid():
            row.check_roll(form.cleaned_data["reinforcement"], form.cleaned_data["width"])
    if not all(row.is_valid() for row in rows):
        return None
    arrived = [row.arrived(damaged=found and row.cleaned_data["damaged"]) for row in rows]
    if found and not any(one.damaged for one in arrived):
        form.add_error(None, "Something was found: tick the rolls it was found on, or correct the inspection.")
        return None
    return arrived


def _logged(count: int, reinforcement) -> str:
    return f"{count} {'roll' if count == 1 else 'rolls'} of {reinforcement} logged. Label each before it goes away."


@allow("receive")
def receipt(request: HttpRequest, key: str) -> HttpResponse:
    rolls = rolls_of_delivery(key)
    if not rolls:
        raise Http404
    return render(request, "receiving/receipt.html", {"rolls": rolls, "first": rolls[0]})
