from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock import ledger
from shopstock.models import Place, Roll
from shopstock.roles import allow

from .forms import WhereForm, WhichForm, find_roll


@allow("move")
def carry(request: HttpRequest) -> HttpResponse:
    """Scan a roll, then where it is put; then the next."""
    if request.method == "POST":
        return _put_down(request)
    if not request.GET.get("roll"):
        return render(request, "carrying/which.html", {"form": WhichForm()})
    form = WhichForm(request.GET)
    if not form.is_valid():
        return render(request, "carrying/which.html", {"form": form})
    roll = form.cleaned_data["roll"]
    return _ask_where(request, roll, WhereForm(initial={"roll": roll.code, "lying": roll.lying}))


def _ask_where(request: HttpRequest, roll: Roll, form: WhereForm) -> HttpResponse:
    return render(request, "carrying/where.html", {"roll": roll, "form": form, "places": Place.objects.all()})


def _put_down(request: HttpRequest) -> HttpResponse:
    form = WhereForm(request.POST)
    try:
        roll = find_roll(request.POST.get("roll", ""))
    except forms.ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("carry")
    if form.is_valid():
        data = form.cleaned_data
        where = {"place": data["place"], "lying": data["lying"]}
        try:
            ledger.move_roll(roll=roll, by=request.user, at=timezone.now(), key=data["key"], **where)
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{roll.code} is at {data['place']} now. Scan the next roll.")
            return redirect("carry")
    return _ask_where(request, roll, form)
