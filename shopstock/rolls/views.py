from collections.abc import Callable
from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.calc.stretches import longest_clean_stretch
from shopstock.ledger import LedgerError
from shopstock.ledger.checks import places_of
from shopstock.listing import list_page
from shopstock.models import Roll, Shop
from shopstock.queries import faults_on, promises_on
from shopstock.roles import allow, may

from . import actions, forms
from .tables import LedgerTable, LedgerTableForOwner, RollTable


@allow("look")
def rolls(request: HttpRequest) -> HttpResponse:
    return list_page(
        request,
        table_class=RollTable,
        rows=forms.all_rolls(),
        filter_class=forms.RollFilter,
        template="rolls/rolls.html",
        file_name="rolls",
    )


@allow("look")
def roll(request: HttpRequest, code: str) -> HttpResponse:
    found = roll_of(code)
    faults = list(faults_on(found))
    return list_page(
        request,
        table_class=LedgerTableForOwner if may(request.user, "correct the ledger") else LedgerTable,
        rows=found.movements.select_related("roll", "by", "corrected_by"),
        template="rolls/roll.html",
        file_name=f"roll-{found.code}",
        roll=found,
        faults=[(fault, *_from_free_end(found, fault)) for fault in faults],
        promises=_placed_promises(found),
        longest_clean_mm=longest_clean_stretch(found.length_mm, [(fault.from_mm, fault.to_mm) for fault in faults]),
        offcuts=found.offcuts.order_by("pk"),
    )


def roll_of(code: str) -> Roll:
    if not check_code(code):
        raise Http404
    rolls = Roll.objects.select_related("reinforcement", "place", "supplier", "parent")
    return get_object_or_404(rolls, code=normalise_code(code))


def _from_free_end(roll: Roll, fault) -> tuple[int, int]:
    return max(0, roll.length_mm - fault.to_mm), roll.length_mm - fault.from_mm


def _placed_promises(roll: Roll) -> list[tuple]:
    """What is set aside, each with the place (mm from the free end) where it comes off."""
    promises = list(promises_on(roll).select_related("by"))
    starts = places_of(roll, promises) or []
    return [(promise, start, start + promise.length_mm) for promise, start in zip(promises, starts, strict=True)]


def _entry(
    request: HttpRequest, roll: Roll, form_class, write: Callable[..., actions.Done], *, title: str, button: str
) -> HttpResponse:
    """Show a form about one roll; when it is filled, write it and go back to the roll."""
    form = form_class(request.POST or None, request.FILES or None, roll=roll, units=Shop.current().units)
    if request.method == "POST" and form.is_valid():
        try:
            done = write(form, by=request.user, at=timezone.now())
        except LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, done.words)
            return redirect(done.roll)
    return render(request, "rolls/roll_form.html", {"form": form, "roll": roll, "title": title, "button": button})


@allow("report a fault")
def report_fault(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Report a fault", "button": "Mark it as not to be used"}
    return _entry(request, roll_of(code), forms.FaultForm, actions.report_fault, **entry)


@allow("release")
def clear_fault(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    found = roll_of(code)
    fault = get_object_or_404(found.faults, pk=pk)
    write = partial(actions.clear_fault, fault=fault)
    entry = {"title": f"Clear a fault: {fault.get_cause_display()}", "button": "Let it be used"}
    return _entry(request, found, forms.ReleaseForm, write, **entry)


@allow("quarantine")
def quarantine(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Quarantine", "button": "Quarantine it"}
    return _entry(request, roll_of(code), forms.QuarantineForm, actions.quarantine, **entry)


@allow("release")
def release(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Release from quarantine", "button": "Release it"}
    return _entry(request, roll_of(code), forms.ReleaseForm, actions.release, **entry)


@allow("move")
def move(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Move", "button": "It lies there now"}
    return _entry(request, roll_of(code), forms.MoveForm, actions.move, **entry)


@allow("cut")
def cut_away(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Cut away", "button": "It is cut away"}
    return _entry(request, roll_of(code), forms.LossForm, actions.cut_away, **entry)


@allow("cut")
def keep_offcut(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Keep an offcut", "button": "Keep it"}
    return _entry(request, roll_of(code), forms.OffcutForm, actions.keep_offcut, **entry)


@allow("correct the ledger")
def take_back(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    found = roll_of(code)
    line = get_object_or_404(found.movements, pk=pk)
    write = partial(actions.take_back, line=line)
    entry = {"title": f"Take back: {line}", "button": "Take it back"}
    return _entry(request, found, forms.TakeBackForm, write, **entry)
