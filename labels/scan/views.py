import json
from collections.abc import Callable
from functools import wraps

from django.contrib import messages
from django.contrib.staticfiles import finders
from django.db.models import QuerySet
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from labels.models import LabelWish
from labels.wishes import wish_for
from shopstock import ledger
from shopstock.calc.units import format_length
from shopstock.cautions import caution_for
from shopstock.expiry import reason_of, to_take_before
from shopstock.ledger.standing import breaches_at, sentences
from shopstock.models import Container, Movement, Place, Roll, SetAside, Shop
from shopstock.roles import allow, may
from shopstock.storage_notes import storage_notes

from . import actions
from .answers import not_understood, refused, seen, seen_nothing, seen_unknown, wants_json, who_sends, written
from .forms import CutAwayForm, FaultForm, FreeCutForm, PhotoForm, PlannedCutForm, QueuedCutForm, cut_away_entry
from .lookup import Found, NothingFound, find, find_scanned
from .next_cut import NextCut, next_cut, pieces_left

# What the form cannot be sent again for: the page as it was no longer holds.
OUT_OF_DATE = (ledger.StaleStock, ledger.KeyReused, ledger.NotUsable)
TAKEN = (Movement.Kind.CUT, Movement.Kind.LOSS)


@never_cache
@allow("look")
def scan(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("code", "").strip()
    if not text:
        return render(request, "scan/scan.html", {"photo_form": PhotoForm()})
    try:
        found = find(text)
    except NothingFound as error:
        return _nothing_found(request, error, text)
    return redirect(_page_of(found))


@allow("look")
def scan_photo(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return redirect("scan")
    form = PhotoForm(request.POST, request.FILES)
    live = wants_json(request)
    if not form.is_valid():
        return seen_nothing(form) if live else render(request, "scan/scan.html", {"photo_form": form})
    read = form.cleaned_data["photo"]
    try:
        found = find_scanned(read.scanned)
    except NothingFound as error:
        return seen_unknown(error) if live else _nothing_found(request, error, read.scanned.code)
    if read.worn:
        wish_for(code=found.code, why=LabelWish.Why.DYING, by=request.user, at=timezone.now())
        messages.warning(
            request, "This label is hardly readable any more: print a new one. It is on the list of labels wanted."
        )
    return seen(_page_of(found)) if live else redirect(_page_of(found))


def _nothing_found(request: HttpRequest, error: NothingFound, text: str) -> HttpResponse:
    near = [(item, _page_of(item)) for item in error.near]
    context = {"photo_form": PhotoForm(), "text": text, "wrong": str(error), "near": near}
    return render(request, "scan/scan.html", context, status=404)


def _page_of(found: Found) -> str:
    if isinstance(found, Place):
        return reverse("place", args=[found.pk])
    return reverse("scan-roll" if isinstance(found, Roll) else "scan-container", args=[found.code])


def _found_first(kind: type[Roll] | type[Container]) -> Callable:
    """Hand the view the roll or container that the code in the address names; anything else gets help."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def run(request: HttpRequest, code: str, **kwargs) -> HttpResponse:
            try:
                found = find(code)
            except NothingFound as error:
                return _nothing_found(request, error, code)
            return view(request, found, **kwargs) if isinstance(found, kind) else redirect(_page_of(found))

        return run

    return decorate


for_roll, for_container = _found_first(Roll), _found_first(Container)


def posted_for_roll(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """A write; signing in again in between comes back to the roll's page, not to an error."""

    @wraps(view)
    def posted(request: HttpRequest, roll: Roll, **kwargs) -> HttpResponse:
        return view(request, roll, **kwargs) if request.method == "POST" else redirect("scan-roll", roll.code)

    return for_roll(posted)


@never_cache
@allow("look")
@for_roll
def scan_roll(request: HttpRequest, roll: Roll) -> HttpResponse:
    return _roll_page(request, roll)


def _roll_page(request: HttpRequest, roll: Roll, **bound) -> HttpResponse:
    """`bound` are forms that came back with something wrong, by the name the template knows them by."""
    for form in bound.values():
        form.focus_first_wrong()
    shop = Shop.current()
    coming = next_cut(roll)
    done = _line_just_made(request, roll)
    forms = {
        "free_form": FreeCutForm(units=shop.units),
        "fault_form": FaultForm(roll=roll, units=shop.units),
        "cut_form": coming.promise and PlannedCutForm.shown_for(coming.promise, units=shop.units),
        "away_form": CutAwayForm.shown_for(coming.cut_away, units=shop.units),
    }
    storage = storage_notes(roll, timezone.localtime()) if roll.is_open else None
    context = {"roll": roll, "coming": coming, "later": _later(coming, shop), "storage": storage}
    context |= {**_after(done, shop), **forms, **bound}
    return render(request, "scan/roll.html", context)


def _later(coming: NextCut, shop: Shop) -> str:
    """What is cut, and cut away, after what the page shows now, for a phone that loses its network."""
    if not (coming.promise and coming.fits):
        return "[]"
    steps = [_step(coming.promise, shop)] if coming.cut_away else []
    for promise, lead in zip(coming.later, coming.leads, strict=True):
        step = _step(promise, shop)
        if lead:
            steps.append(step | {"away": cut_away_entry(lead, shop.units)})
        steps.append(step)
    return json.dumps(steps)


def _step(promise: SetAside, shop: Shop) -> dict:
    return {
        "promise": promise.pk,
        "planned_mm": promise.length_mm,
        "length": format_length(promise.length_mm, shop.units),
        "purpose": promise.purpose,
    }


def _after(done: Movement | None, shop: Shop) -> dict:
    return {"done": done, "taken_mm": -done.delta_mm, "pieces": pieces_left(done, shop)} if done else {}


def _line_just_made(request: HttpRequest, roll: Roll) -> Movement | None:
    number = request.GET.get("done", "")
    if not number.isdecimal():
        return None
    return _takings(roll).filter(pk=int(number)).first()


def _takings(roll: Roll) -> QuerySet[Movement]:
    """Cuts and lengths cut away that still stand."""
    return roll.movements.filter(kind__in=TAKEN, corrected_by=None).select_related("roll", "set_aside")


def _done(roll: Roll, line: Movement) -> HttpResponse:
    return redirect(f"{reverse('scan-roll', args=[roll.code])}?done={line.pk}")


def _fresh_page(request: HttpRequest, roll: Roll, error: Exception) -> HttpResponse:
    messages.error(request, str(error))
    return redirect("scan-roll", roll.code)


def _take(request: HttpRequest, roll: Roll, form: PlannedCutForm | FreeCutForm, name: str, write: Callable):
    """Cut as the form says; a device gets a short answer, a person a page."""
    device = wants_json(request)
    if form.is_valid():
        try:
            line = write(form.cleaned_data, roll=roll, by=request.user, at=timezone.now(), key=form.cleaned_data["key"])
        except ledger.LedgerError as error:
            if device:
                return refused(error)
            if isinstance(error, OUT_OF_DATE):
                return _fresh_page(request, roll, error)
            form.add_error(None, str(error))
        else:
            return written(line) if device else _done(roll, line)
    return not_understood(form) if device else _roll_page(request, roll, **{name: form})


@allow("cut")
@posted_for_roll
def cut(request: HttpRequest, roll: Roll) -> HttpResponse:
    def write(entry, **wish):
        return actions.cut_planned(promise_id=entry["promise"], length_mm=entry["length"], **wish)

    form = PlannedCutForm(request.POST, units=Shop.current().units, left_mm=roll.length_mm)
    # With nothing next the page has no field for the message to stand beside.
    if not form.is_valid() and not wants_json(request) and next_cut(roll).promise is None:
        return _fresh_page(request, roll, actions.PageOutOfDate(actions.NEXT_HAS_CHANGED))
    return _take(request, roll, form, "cut_form", write)


@allow("cut")
@posted_for_roll
def cut_freely(request: HttpRequest, roll: Roll) -> HttpResponse:
    def write(entry, **wish):
        return ledger.record_cut(length_mm=entry["length"], reason=entry["purpose"], **wish)

    form = FreeCutForm(request.POST, units=Shop.current().units)
    return _take(request, roll, form, "free_form", write)


@allow("cut")
@posted_for_roll
def cut_away(request: HttpRequest, roll: Roll) -> HttpResponse:
    form, device = CutAwayForm(request.POST), wants_json(request)
    if not form.is_valid():
        error = ledger.StaleStock("Open the page of the roll again.")
        return not_understood(form) if device else _fresh_page(request, roll, error)
    entry = form.cleaned_data
    try:
        line = actions.cut_away(
            roll=roll, length_mm=entry["length_mm"], by=request.user, at=timezone.now(), key=entry["key"]
        )
    except ledger.LedgerError as error:
        return refused(error) if device else _fresh_page(request, roll, error)
    return written(line) if device else _done(roll, line)


@allow("report a fault")
@posted_for_roll
def report_fault(request: HttpRequest, roll: Roll) -> HttpResponse:
    shop = Shop.current()
    form = FaultForm(request.POST, request.FILES, roll=roll, units=shop.units)
    if form.is_valid():
        entry = form.cleaned_data
        try:
            lost = actions.report_fault(
                roll=roll,
                from_mm=entry["start"],
                to_mm=entry["end"],
                cause=entry["cause"],
                note=entry["note"],
                across_mm=form.across_mm(),
                photo=form.kept_photo(),
                by=request.user,
                at=timezone.now(),
                key=entry["key"],
            )
        except OUT_OF_DATE as error:
            return _fresh_page(request, roll, error)
        except ledger.LedgerError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The fault is noted. No plan will lay a piece across it.")
            for promise in lost:
                length = format_length(promise.length_mm, shop.units)
                messages.warning(
                    request,
                    f"{length} for {promise.purpose} no longer fits this roll. Tell the owner to plan it again.",
                )
            return redirect("scan-roll", roll.code)
    return _roll_page(request, roll, fault_form=form)


@allow("cut")
@posted_for_roll
def keep_offcut(request: HttpRequest, roll: Roll, pk: int, number: int) -> HttpResponse:
    line = get_object_or_404(_takings(roll), pk=pk)
    try:
        actions.keep_offcut(movement=line, number=number, by=request.user, at=timezone.now())
    except ledger.LedgerError as error:
        return _fresh_page(request, roll, error)
    return _done(roll, line)


@never_cache
@allow("look")
@for_container
def scan_container(request: HttpRequest, container: Container) -> HttpResponse:
    today = timezone.localdate()
    first = to_take_before(container, on=today)
    context = {
        "container": container,
        "is_past": container.expires_on < today,
        "first": first,
        "why": reason_of(container),
        "stopped": first is not None and not may(request.user, "take out of order"),
        "caution": caution_for(container.chemical),
        "standing": sentences(breaches_at(container, container.place)) if container.is_open and container.place else [],
    }
    return render(request, "scan/container.html", context)


@allow("look")
def scan_place(request: HttpRequest, code: str) -> HttpResponse:
    try:
        return redirect(_page_of(find(code)))
    except NothingFound as error:
        return _nothing_found(request, error, code)


@never_cache
@allow("cut")
def queued_cuts(request: HttpRequest) -> HttpResponse:
    """Takes what a phone kept while it had no network; asked without a post it says who is signed in."""
    if request.method != "POST":
        return who_sends(request)
    form = QueuedCutForm(request.POST, units=Shop.current().units)
    if not form.is_valid():
        return not_understood(form)
    try:
        return written(actions.tell_queued_cut(entry=form.cleaned_data, by=request.user, at=timezone.now()))
    except ledger.LedgerError as error:
        return refused(error)


@allow("look")
def service_worker(request: HttpRequest) -> HttpResponse:
    """From the top of the site, so that the worker may answer for every page."""
    file = open(finders.find("labels/worker.js"), "rb")  # noqa: SIM115 - the answer closes it
    return FileResponse(file, content_type="text/javascript", headers={"Cache-Control": "no-cache"})
