from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.models import Job
from shopstock.models import Shop
from shopstock.roles import allow

from .actions import NameTaken, take_job
from .answer import answer
from .forms import TakeForm, WhatIfForm


@allow("plan jobs")
def what_if(request: HttpRequest) -> HttpResponse:
    """Another job before it is promised; nothing is written here."""
    today = timezone.localdate()
    asked = any(name in request.GET for name in ("times", "by"))
    form = WhatIfForm(request.GET if asked else None, today=today, initial={"like": request.GET.get("like")})
    if not form.is_bound or not form.is_valid():
        return _page(request, form)
    data = form.cleaned_data
    found = {"like": data["like"].pk, "times": data["times"], "by": f"{data['by']:%Y-%m-%d}"}
    return _page(request, form, TakeForm(today=today, initial=found | {"name": _name(data)}))


@allow("plan jobs")
@require_POST
def take(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    form = TakeForm(request.POST, today=timezone.localdate(now))
    if form.is_valid():
        data = form.cleaned_data
        try:
            job = take_job(
                like=data["like"],
                times=data["times"],
                cut_on=data["by"],
                name=data["name"],
                chance_percent=form.chance_percent,
                by=request.user,
                at=now,
            )
        except NameTaken as error:
            form.add_error("name", str(error))
        else:
            kind = f"quoted, {job.chance_percent} %" if job.is_quoted else "planned work"
            messages.success(request, f"{job} is on the list as {kind}, to be cut on {job.cut_on}.")
            return redirect(job)
    return _page(request, WhatIfForm(request.POST, today=timezone.localdate(now)), form)


def _page(request: HttpRequest, form: WhatIfForm, take_form: TakeForm | None = None) -> HttpResponse:
    context = {"form": form, "take_form": take_form, "on": form.today}
    if take_form is not None and form.is_valid():
        data = form.cleaned_data
        asked = {"times": data["times"], "cut_on": data["by"], "on": form.today, "shop": Shop.current()}
        context["answer"] = answer(data["like"], **asked)
    return render(request, "what_if/what_if.html", context)


def _name(data: dict) -> str:
    """A name to begin with that no job has."""
    stem = f"{data['times']} like {data['like'].name[:60]}"
    taken = set(Job.objects.filter(name__startswith=stem).values_list("name", flat=True))
    names = [stem, *(f"{stem} ({number})" for number in range(2, len(taken) + 3))]
    return next(name for name in names if name not in taken)
