from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from shopstock.calc.forms import FORMS
from shopstock.ledger import LedgerError, StaleStock, is_as_it_came
from shopstock.models import CutHabit, Roll, Shop
from shopstock.readings import learned_habit
from shopstock.roles import allow
from shopstock.roll_entry import roll_of

from . import actions
from .forms import HabitForm, RecountForm, TubeEmptyForm


@allow("recount")
def recount(request: HttpRequest, code: str) -> HttpResponse:
    """Readings in, what they come to out; the ledger is set only by the button that says the length."""
    roll, shop = roll_of(code), Shop.current()
    if actions.was_set(roll, request.POST.get("key")):
        return redirect(roll)
    form = RecountForm(request.POST or None, roll=roll, units=shop.units)
    if form.is_valid() and ("set" in request.POST or form.only_keeps):
        write = actions.keep_as_it_came if form.only_keeps else actions.recount
        try:
            done = write(form, by=request.user, at=timezone.now())
        except StaleStock as error:
            form = RecountForm(_seen_now(request, roll), roll=roll_of(code), units=shop.units)
            form.is_valid()
            form.add_error(None, str(error))
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done)
            return redirect(roll)
    context = {"roll": roll_of(code), "form": form, "outcome": form.outcome, "uncut": is_as_it_came(roll)}
    return render(request, "measuring/recount.html", context)


def _seen_now(request: HttpRequest, roll: Roll):
    """What was typed stays; sending it once more means that it was measured after the cut."""
    data = request.POST.copy()
    data["seen_mm"] = Roll.objects.values_list("length_mm", flat=True).get(pk=roll.pk)
    return data


@allow("recount")
def tube_empty(request: HttpRequest, code: str) -> HttpResponse:
    roll, shop = roll_of(code), Shop.current()
    form = TubeEmptyForm(request.POST or None)
    if form.is_valid():
        try:
            done = actions.tube_empty(
                roll=roll, units=shop.units, by=request.user, at=timezone.now(), **form.cleaned_data
            )
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done)
            return redirect(roll)
    return render(request, "measuring/tube_empty.html", {"roll": roll, "form": form})


@allow("recount")
def habits(request: HttpRequest) -> HttpResponse:
    rows = [_row(form) for form in FORMS.values()]
    seen = [row for row in rows if row["on"] or row["learned"]]
    return render(request, "measuring/habits.html", {"rows": seen, "others": [row for row in rows if row not in seen]})


def _row(form) -> dict:
    on = CutHabit.objects.filter(form=form.key).select_related("by").first()
    learned = learned_habit(form.key, since=on and on.at)
    offered = learned.allowance_mm + (on.allowance_mm if on else 0) if learned and learned.is_known else None
    return {"form": form, "on": on, "learned": learned, "offered_mm": offered}


@allow("change settings")
def switch_habit(request: HttpRequest, form: str) -> HttpResponse:
    if request.method != "POST":
        return redirect("cut-habits")
    filled = HabitForm(request.POST)
    if form not in FORMS or not filled.is_valid():
        raise Http404
    if filled.cleaned_data["switch"] == "off":
        actions.switch_habit_off(form=form)
        messages.success(request, f"Plans of {FORMS[form].name} add the shop’s general allowance only.")
        return redirect("cut-habits")
    allowance_mm = filled.cleaned_data["allowance_mm"]
    try:
        actions.switch_habit_on(form=form, allowance_mm=allowance_mm, by=request.user, at=timezone.now())
    except actions.HabitChanged as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"New plans of {FORMS[form].name} add {allowance_mm} mm to every cut.")
    return redirect("cut-habits")
