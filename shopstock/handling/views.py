from collections.abc import Callable

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from shopstock.calc.fold_guide import fold_guide
from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.ledger import LedgerError
from shopstock.models import Roll, Shop
from shopstock.photos import path_of
from shopstock.queries import keeping_rule
from shopstock.roles import allow

from . import actions, forms


def roll_of(code: str) -> Roll:
    if not check_code(code):
        raise Http404
    rolls = Roll.objects.select_related("reinforcement", "place", "supplier", "parent")
    return get_object_or_404(rolls, code=normalise_code(code))


def _entry(
    request: HttpRequest,
    roll: Roll,
    form_class,
    write: Callable[..., actions.Done],
    *,
    title: str,
    button: str,
    template: str = "handling/form.html",
    **context,
) -> HttpResponse:
    form = form_class(request.POST or None, roll=roll, units=Shop.current().units)
    if request.method == "POST" and form.is_valid():
        try:
            done = write(form, by=request.user, at=timezone.now())
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done.words)
            return redirect(done.roll)
    shown = {"form": form, "roll": roll, "title": title, "button": button}
    return render(request, template, shown | context)


@allow("move")
def split(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Wind part of it onto a second tube",
        "button": "It is two rolls now",
        "hint": "What lay outside goes onto the new tube first, so it lies inside there. Faults go with their cloth.",
    }
    return _entry(request, roll_of(code), forms.SplitForm, actions.split, **entry)


@allow("move")
def join(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Wind another roll onto it",
        "button": "It is one roll now",
        "hint": "Only the same reinforcement of the same lot and width. No piece is ever laid across the splice.",
    }
    return _entry(request, roll_of(code), forms.JoinForm, actions.join, **entry)


@allow("receive")
def send_back(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Return to the supplier", "button": "It goes back"}
    return _entry(request, roll_of(code), forms.ReturnForm, actions.send_back, **entry)


@allow("cut")
def strip_layers(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Strip outer layers",
        "button": "They are stripped",
        "hint": "After dust, water or spray near the roll, the outer layers are thrown away and named as a loss.",
    }
    return _entry(request, roll_of(code), forms.LayersForm, actions.strip_layers, **entry)


@allow("recount")
def fold(request: HttpRequest, code: str) -> HttpResponse:
    roll = roll_of(code)
    entry = {
        "title": "Found folded",
        "button": "Decide",
        "template": "handling/fold.html",
        "guide": fold_guide(roll.reinforcement.fibre, roll.reinforcement.form),
        "decisions": roll.movements.filter(kind="fold").select_related("by"),
    }
    return _entry(request, roll, forms.FoldForm, actions.decide_fold, **entry)


@allow("cut")
def bin_offcut(request: HttpRequest, code: str) -> HttpResponse:
    roll = roll_of(code)
    if roll.kind != Roll.Kind.OFFCUT:
        raise Http404
    due = keeping_rule(roll.reinforcement, Shop.current()).look_again_on(roll.received_on)
    hint = f"Kept since {roll.received_on}, to be looked at again from {due}."
    entry = {"title": "Bin an offcut", "button": "It is binned", "hint": hint}
    return _entry(request, roll, forms.BinForm, actions.bin_offcut, **entry)


@allow("look")
def fault_photo(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """The picture as we made it: always a JPEG, whatever was sent, and never guessed to be anything else."""
    fault = get_object_or_404(roll_of(code).faults, pk=pk)
    path = path_of(fault.photo)
    if path is None:
        raise Http404
    answer = FileResponse(path.open("rb"), content_type="image/jpeg", filename=f"{fault.roll.code}-{fault.pk}.jpg")
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, max-age=86400"
    return answer
