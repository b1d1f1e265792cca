from itertools import groupby

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from shopstock.calc.units import format_length
from shopstock.ledger import LedgerError
from shopstock.models import RecountRound, Roll, Shop
from shopstock.roles import allow
from shopstock.roll_entry import roll_of

from . import actions
from .findings import booked_out, findings_of, not_found, to_count, worth
from .forms import CloseForm, CountForm, StartForm, WalkForm

PLACE = "recount_place"  # where this person stands, kept for the walk


@allow("recount")
def rounds(request: HttpRequest) -> HttpResponse:
    form = StartForm(request.POST or None, shop=Shop.current())
    if form.is_valid():
        data = form.cleaned_data
        recount, is_new = actions.start_round(
            tolerance_percent=data["tolerance_percent"],
            tolerance_mm=data["tolerance"],
            by=request.user,
            at=timezone.now(),
        )
        if not is_new:
            messages.info(request, f"A round is open already, begun by {recount.started_by}: you count in it too.")
        return redirect(recount)
    found = RecountRound.objects.select_related("started_by", "closed_by")
    context = {"form": form, "open": found.filter(state="open").first(), "past": found.exclude(state="open")[:20]}
    return render(request, "recount/rounds.html", context)


@allow("recount")
def walk(request: HttpRequest, pk: int) -> HttpResponse:
    recount = get_object_or_404(RecountRound.objects.select_related("started_by", "closed_by"), pk=pk)
    if recount.state != RecountRound.State.OPEN:
        gone = [(line.roll, -line.delta_mm, worth(line.roll, -line.delta_mm)) for line in booked_out(recount)]
        return render(request, "recount/done.html", {"round": recount, "found": findings_of(recount), "gone": gone})
    form = WalkForm(request.POST or None, initial={"place": request.session.get(PLACE)})
    if form.is_valid():
        request.session[PLACE] = form.cleaned_data["place"] and form.cleaned_data["place"].pk
        roll = form.cleaned_data["code"]
        return redirect("recount-count", recount.pk, roll.code) if roll else redirect(recount)
    left = list(not_found(recount))
    by_place = [(place, list(rolls)) for place, rolls in groupby(left, key=lambda roll: roll.place)]
    context = {
        "round": recount,
        "form": form,
        "left": len(left),
        "all": to_count(recount).count(),
        "by_place": by_place,
        "last": recount.entries.select_related("roll__reinforcement", "by")[:5],
    }
    return render(request, "recount/walk.html", context)


@allow("recount")
def count_roll(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    recount, roll = get_object_or_404(RecountRound, pk=pk), roll_of(code)
    form = CountForm(
        request.POST or None,
        roll=roll,
        units=Shop.current().units,
        initial={"place": request.session.get(PLACE) or roll.place_id},
    )
    if form.is_valid() and ("looks_right" in request.POST or "set" in request.POST):
        answer = _count(request, recount, roll, form)
        if answer is not None:
            return answer
    context = {
        "round": recount,
        "roll": roll,
        "form": form,
        "outcome": form.outcome,
        "earlier": recount.entries.filter(roll=roll).select_related("by").first(),
    }
    return render(request, "recount/count.html", context)


def _count(request: HttpRequest, recount: RecountRound, roll: Roll, form: CountForm) -> HttpResponse | None:
    """The next page, or None with the reason on the form."""
    if form.outcome is not None and not form.outcome.agree:
        form.add_error(None, "Lay the roll on the table and tape it: what was measured and booked do not agree.")
        return None
    data = form.cleaned_data
    try:
        entry = actions.count(
            recount=recount,
            roll=roll,
            place=data["place"],
            outcome=form.outcome,
            seen_mm=data["seen_mm"],
            by=request.user,
            at=timezone.now(),
        )
    except actions.RoundOver as error:
        messages.error(request, str(error))
        return redirect("recount")
    except LedgerError as error:
        form.add_error(None, f"{error} Open the page again to count it.")
        return None
    length = format_length(entry.length_mm, Shop.current().units)
    messages.success(request, f"{roll.code} {entry.get_how_display()}: {length}.")
    return redirect(recount)


@allow("recount")
def close(request: HttpRequest, pk: int) -> HttpResponse:
    recount = get_object_or_404(RecountRound, pk=pk)
    if recount.state != RecountRound.State.OPEN:
        return redirect(recount)
    form = CloseForm(request.POST or None, missing=not_found(recount))
    if request.method == "POST" and form.is_valid():
        return _close(request, recount, form)
    return render(request, "recount/close.html", {"round": recount, "found": findings_of(recount), "form": form})


def _close(request: HttpRequest, recount: RecountRound, form: CloseForm) -> HttpResponse:
    who = {"by": request.user, "at": timezone.now()}
    try:
        if "drop" in request.POST:
            actions.drop_round(recount=recount, **who)
            messages.info(request, "The round was given up. Nothing was changed.")
            return redirect("recount")
        done = actions.close_round(recount=recount, gone=form.cleaned_data["gone"], **who)
    except (actions.RoundOver, LedgerError) as error:
        messages.error(request, f"{error} Nothing was changed.")
    else:
        words = f"Round closed: {done.corrected} measured, {done.moved} moved, {done.gone} booked as gone."
        messages.success(request, words)
    return redirect(recount)
