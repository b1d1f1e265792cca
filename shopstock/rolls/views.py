from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from shopstock.calc.stretches import longest_clean_stretch
from shopstock.ledger import WINDING
from shopstock.ledger.checks import places_of
from shopstock.listing import list_page
from shopstock.models import Roll
from shopstock.queries import faults_on, promises_on
from shopstock.roles import allow, may
from shopstock.roll_entry import enter, roll_of

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


def _from_free_end(roll: Roll, fault) -> tuple[int, int]:
    return max(0, roll.length_mm - fault.to_mm), roll.length_mm - fault.from_mm


def _placed_promises(roll: Roll) -> list[tuple]:
    """What is set aside, each with the place (mm from the free end) where it comes off."""
    promises = list(promises_on(roll).select_related("by"))
    starts = places_of(roll, promises) or []
    return [(promise, start, start + promise.length_mm) for promise, start in zip(promises, starts, strict=True)]


@allow("report a fault")
def report_fault(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Report a fault", "button": "Mark it as not to be used"}
    return enter(request, roll_of(code), forms.FaultForm, actions.report_fault, **entry)


@allow("release")
def clear_fault(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    found = roll_of(code)
    fault = get_object_or_404(found.faults, pk=pk)
    write = partial(actions.clear_fault, fault=fault)
    entry = {"title": f"Clear a fault: {fault.get_cause_display()}", "button": "Let it be used"}
    return enter(request, found, forms.ReleaseForm, write, **entry)


@allow("quarantine")
def quarantine(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Quarantine", "button": "Quarantine it"}
    return enter(request, roll_of(code), forms.QuarantineForm, actions.quarantine, **entry)


@allow("release")
def release(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Release from quarantine", "button": "Release it"}
    return enter(request, roll_of(code), forms.ReleaseForm, actions.release, **entry)


@allow("move")
def move(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Move", "button": "It lies there now"}
    return enter(request, roll_of(code), forms.MoveForm, actions.move, **entry)


@allow("cut")
def cut_away(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Cut away", "button": "It is cut away"}
    return enter(request, roll_of(code), forms.LossForm, actions.cut_away, **entry)


@allow("cut")
def keep_offcut(request: HttpRequest, code: str) -> HttpResponse:
    entry = {"title": "Keep an offcut", "button": "Keep it"}
    return enter(request, roll_of(code), forms.OffcutForm, actions.keep_offcut, **entry)


@allow("correct the ledger")
def take_back(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    found = roll_of(code)
    line = get_object_or_404(found.movements, pk=pk)
    write = partial(actions.take_back, line=line)
    hint = f"It was {line.reason}. Both rolls are again what they were before." if line.kind in WINDING else ""
    entry = {"title": f"Take back: {line}", "button": "Take it back", "hint": hint}
    return enter(request, found, forms.TakeBackForm, write, **entry)
