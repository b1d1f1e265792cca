"""The search for a better plan, as the plan's page shows and steers it."""

from django.contrib import messages
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRefresh

from jobs.models import CuttingPlan
from jobs.plan_runs import active_run, last_run, stop_run, worker_is_there
from jobs.plan_search import search_on
from jobs.planning import CannotPlan
from shopstock.roles import allow

from .forms import ConfirmForm, SearchForm
from .plan_page import plan_context, plan_or_404, waiting_in


@allow("look")
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """What a page that shows the search asks for every second; a newer plan, or the end, comes along with it."""
    plan = plan_or_404(pk)
    if not request.htmx:
        return redirect(plan)
    run = last_run(plan)
    if run is None or plan.state != CuttingPlan.State.OFFERED:
        return HttpResponseClientRefresh()  # somebody settled it meanwhile
    changed = request.GET.get("revision") != str(plan.revision) or not run.is_active
    asks_why = "why" in request.GET  # the page asks why the plan goes first: the field with its words stays
    if changed:
        form = ConfirmForm(plan=plan, waiting=waiting_in(plan), asks_why=asks_why)
        context = plan_context(request, plan, form)
    else:
        context = {"plan": plan, "run": run}
    return render(request, "cutting/progress_answer.html", context | {"changed": changed, "asks_why": asks_why})


@allow("plan jobs")
@require_POST
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    plan = plan_or_404(pk)
    if stop_run(plan, at=timezone.now()):
        messages.success(request, "The search ends. The best plan found is this one.")
    return redirect(plan)


@allow("plan jobs")
@require_POST
def search_longer(request: HttpRequest, pk: int) -> HttpResponse:
    plan, now, form = plan_or_404(pk), timezone.now(), SearchForm(request.POST)
    if plan.state != CuttingPlan.State.OFFERED:
        messages.error(request, f"This plan is {plan.get_state_display()}: only one on offer can be bettered.")
    elif not form.is_valid():
        messages.error(request, "Choose how long to search.")
    elif not worker_is_there(now):
        messages.error(request, "Nobody is there to search: start the program with manage.py serve, or plan again.")
    elif active_run(plan) is None:
        try:
            search_on(plan, by=request.user, at=now, seconds=form.cleaned_data["seconds"])
        except CannotPlan as error:
            messages.error(request, str(error))
        except IntegrityError:
            messages.info(request, "It is searched for already, perhaps by a second tap.")
    return redirect(plan)
