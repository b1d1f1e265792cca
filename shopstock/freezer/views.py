from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock import ledger
from shopstock.models import Roll
from shopstock.prepreg import out_time_of
from shopstock.roles import allow
from shopstock.roll_entry import roll_of

from .forms import PutBackForm, TakeOutForm, UseByForm


@allow("move")
def take_out(request: HttpRequest, code: str) -> HttpResponse:
    roll, at = roll_of(code), timezone.localtime()

    def write(data: dict) -> str:
        ledger.take_out_of_freezer(roll=roll, by=request.user, at=at, **data)
        left = out_time_of(roll, at).left_h
        thaw = f" Thaw it sealed for {roll.reinforcement.thaw_h} h." if roll.reinforcement.thaw_h else ""
        return f"{roll.code} is out: its time runs, {left:.0f} h left.{thaw}"

    form = TakeOutForm(request.POST or None)
    return _page(request, roll, form, write, title="Take it out of the freezer", button="It is out")


@allow("move")
def put_back(request: HttpRequest, code: str) -> HttpResponse:
    roll, at = roll_of(code), timezone.localtime()

    def write(data: dict) -> str:
        ledger.put_back_in_freezer(roll=roll, by=request.user, at=at, **data)
        found = out_time_of(Roll.objects.select_related("reinforcement", "parent").get(pk=roll.pk), at)
        return f"{roll.code} is frozen again: {found.used_h:.0f} h used, {found.left_h:.0f} h left."

    form = PutBackForm(request.POST or None)
    return _page(request, roll, form, write, title="Put it back in the freezer", button="It is back")


@allow("receive")
def note_use_by(request: HttpRequest, code: str) -> HttpResponse:
    roll = roll_of(code)

    def write(data: dict) -> str:
        ledger.set_use_by(roll=roll, use_by=data["use_by"])
        return f"{roll.code}: use by {data['use_by']}."

    form = UseByForm(request.POST or None, initial={"use_by": roll.use_by})
    return _page(request, roll, form, write, title="Note the date on its label", button="Save the date")


def _page(
    request: HttpRequest, roll: Roll, form, write: Callable[[dict], str], *, title: str, button: str
) -> HttpResponse:
    if request.method == "POST" and form.is_valid():
        try:
            done = write(form.cleaned_data)
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done)
            return redirect("scan-roll", roll.code)
    context = {"form": form, "roll": roll, "title": title, "button": button}
    return render(request, "freezer/form.html", context)
