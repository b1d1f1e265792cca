from django.http import HttpRequest, HttpResponse

from shopstock.roles import allow
from shopstock.roll_entry import enter, roll_of

from . import actions
from .forms import PutBackForm, TakeOutForm, UseByForm


@allow("move")
def take_out(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Take it out of the freezer", "button": "It is out", "back": "scan-roll"}
    return enter(request, roll_of(code), TakeOutForm, actions.take_out, **entry)


@allow("move")
def put_back(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Put it back in the freezer", "button": "It is back", "back": "scan-roll"}
    return enter(request, roll_of(code), PutBackForm, actions.put_back, **entry)


@allow("receive")
def note_use_by(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Note the date on its label", "button": "Save the date", "back": "scan-roll"}
    return enter(request, roll_of(code), UseByForm, actions.note_use_by, **entry)
