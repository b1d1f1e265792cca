from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from shopstock.models import FeedAddress, Shop
from shopstock.roles import allow, role_of
from shopstock.tokens import hash_of
from shopstock.watch import KINDS
from shopstock.watch_answers import CannotPutOff, Watched, answer, watched
from shopstock.watch_feed import feed_of

from .actions import give_feed, set_email, stop_feed
from .forms import AnswerForm, EmailForm


@allow("look")
def watch(request: HttpRequest) -> HttpResponse:
    only, at = request.GET.get("kind") or None, timezone.localtime()
    if only not in (None, *KINDS):
        raise Http404
    found = watched(role_of(request.user), at.date(), at)
    kinds = [(kind, title, sum(one.item.kind == kind for one in found)) for kind, title in KINDS.items()]
    shown = [one for one in found if only in (None, one.item.kind)]
    context = {
        "on": at.date(),
        "only": only,
        "kinds": [row for row in kinds if row[2]],
        "open": [_row(one) for one in shown if one.answer is None],
        "answered": [_row(one) for one in shown if one.answer is not None],
    }
    return render(request, "watching/watch.html", context)


def _row(one: Watched) -> dict:
    return {"item": one.item, "answer": one.answer, "title": KINDS[one.item.kind]}


@allow("answer warnings")
def answer_warning(request: HttpRequest) -> HttpResponse:
    at = timezone.localtime()
    name = request.POST.get("warning") or request.GET.get("warning", "")
    found = watched(role_of(request.user), at.date(), at)
    one = next((each for each in found if each.item.name == name), None)
    if one is None:
        messages.success(request, "That warning is gone: what it warned of is put right.")
        return redirect("watch")
    form = AnswerForm(request.POST or None, today=at.date(), initial={"warning": name, "kind": "seen"})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        wish = {name: data[name] for name in ("kind", "reason", "until")}
        try:
            answer(item=one.item, by=request.user, at=at, **wish)
        except CannotPutOff as error:
            form.add_error("until", str(error))
        else:
            messages.success(request, "Kept with your name. It stays on the watch, under what was answered.")
            return redirect("watch")
    context = {"form": form, **_row(one)}
    return render(request, "watching/answer.html", context)


@allow("look")
def mine(request: HttpRequest) -> HttpResponse:
    form = EmailForm(request.POST or None, initial={"email": request.user.email})
    if request.method == "POST" and form.is_valid():
        set_email(person=request.user, email=form.cleaned_data["email"])
        messages.success(request, "Saved.")
        return redirect("watch-mine")
    context = {"form": form, "feed": FeedAddress.objects.filter(person=request.user).first()}
    return render(request, "watching/mine.html", context)


@require_POST
@never_cache
@allow("look")
def new_feed(request: HttpRequest) -> HttpResponse:
    if "stop" in request.POST:
        stop_feed(person=request.user)
        messages.success(request, "The calendar gets nothing any more.")
        return redirect("watch-mine")
    token = give_feed(person=request.user, at=timezone.now())
    address = f"{Shop.current().address}{reverse('watch-feed', args=[token])}"
    return render(request, "watching/address.html", {"address": address})


@require_safe
@never_cache
@login_not_required
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """Whoever knows the address reads what its owner may see; a closed sign-in closes it too."""
    rows = FeedAddress.objects.select_related("person").filter(person__is_active=True)
    person = get_object_or_404(rows, token_hash=hash_of(token)).person
    at = timezone.localtime()
    return HttpResponse(
        feed_of(person, on=at.date(), at=at),
        content_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'inline; filename="watch.ics"'},
    )
