from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from shopstock.calc.fold_guide import fold_guide
from shopstock.models import Roll, Shop
from shopstock.photos import path_of
from shopstock.queries import keeping_rule
from shopstock.roles import allow
from shopstock.roll_entry import enter, roll_of

from . import actions, forms


@allow("move")
def split(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Wind part of it onto a second tube",
        "button": "It is two rolls now",
        "hint": "What lay outside goes onto the new tube first, so it lies inside there. Faults go with their cloth.",
    }
    return enter(request, roll_of(code), forms.SplitForm, actions.split, **entry)


@allow("move")
def join(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Wind another roll onto it",
        "button": "It is one roll now",
        "hint": "Only the same reinforcement of the same lot and width. No piece is ever laid across the splice.",
    }
    return enter(request, roll_of(code), forms.JoinForm, actions.join, **entry)


@allow("receive")
def send_back(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Return to the supplier", "button": "It goes back"}
    return enter(request, roll_of(code), forms.ReturnForm, actions.send_back, **entry)


@allow("cut")
def strip_layers(request: HttpRequest, code: str) -> HttpResponse:
    entry = {
        "title": "Strip outer layers",
        "button": "They are stripped",
        "hint": "After dust, water or spray near the roll, the outer layers are thrown away and named as a loss.",
    }
    return enter(request, roll_of(code), forms.LayersForm, actions.strip_layers, **entry)


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
    return enter(request, roll, forms.FoldForm, actions.decide_fold, **entry)


@allow("cut")
def bin_offcut(request: HttpRequest, code: str) -> HttpResponse:
    roll = roll_of(code)
    if roll.kind != Roll.Kind.OFFCUT:
        raise Http404
    due = keeping_rule(roll.reinforcement, Shop.current()).look_again_on(roll.received_on)
    hint = f"Kept since {roll.received_on}, to be looked at again from {due}."
    entry = {"title": "Bin an offcut", "button": "It is binned", "hint": hint}
    return enter(request, roll, forms.BinForm, actions.bin_offcut, **entry)


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
