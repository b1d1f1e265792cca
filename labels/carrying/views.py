from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock import ledger
from shopstock.models import Place, Roll
from shopstock.roles import allow

from .forms import Item, WhereForm, WhichForm, find_item


@allow("move")
def carry(request: HttpRequest) -> HttpResponse:
    """Scan a roll or container, then where it is put; then the next."""
    if request.method == "POST":
        return _put_down(request)
    if not request.GET.get("item"):
        return render(request, "carrying/which.html", {"form": WhichForm()})
    form = WhichForm(request.GET)
    if not form.is_valid():
        return render(request, "carrying/which.html", {"form": form})
    item = form.cleaned_data["item"]
    return _ask_where(request, item, WhereForm(carried=item))


def _ask_where(request: HttpRequest, item: Item, form: WhereForm) -> HttpResponse:
    context = {"item": item, "is_roll": isinstance(item, Roll), "form": form, "places": Place.objects.all()}
    return render(request, "carrying/where.html", context)


def _put_down(request: HttpRequest) -> HttpResponse:
    try:
        item = find_item(request.POST.get("item", ""))
    except forms.ValidationError as error:
        messages.error(request, " ".join(error.messages))
        return redirect("carry")
    form = WhereForm(request.POST, carried=item)
    if form.is_valid():
        try:
            _move(item, form.cleaned_data, by=request.user, at=timezone.now())
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{item.code} is at {form.cleaned_data['place']} now. Scan the next one.")
            return redirect("carry")
    return _ask_where(request, item, form)


def _move(item: Item, data: dict, **who) -> None:
    wish = {"place": data["place"], "note": data["note_of_place"], "key": data["key"]}
    if isinstance(item, Roll):
        ledger.move_roll(roll=item, lying=data["lying"], **wish, **who)
    else:
        ledger.move_container(container=item, **wish, **who)
